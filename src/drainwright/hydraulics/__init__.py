"""Formulas of flow: numbers in, numbers out; scalars or arrays, in SI; they know no job.

Every public formula takes ``Floats`` (a float or an array; arguments broadcast together), gives a float for
floats and an array for arrays, changes no argument, and raises ``InputError`` for a value it cannot use.
"""
