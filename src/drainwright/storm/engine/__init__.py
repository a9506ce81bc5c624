"""The time stepper: the plant as arrays, the laws of its links, the elimination, the steps."""
