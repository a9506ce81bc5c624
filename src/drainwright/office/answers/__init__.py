"""Answers for the pages: jobs are designed in worker processes, so that the app stays quick for everybody else."""
