"""Tests of the checks and of the answers."""
