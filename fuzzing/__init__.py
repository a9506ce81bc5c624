"""Fuzzing: every reader of what comes from outside, by a coverage-guided fuzzer; whole jobs and the API by Hypothesis.

``make fuzz`` runs all; ``python -m fuzzing --help`` tells the rest. A reader may refuse what it is given, with an error
that says what was found and what would be right. Anything else (another exception, no answer in time) is a fault.
"""
