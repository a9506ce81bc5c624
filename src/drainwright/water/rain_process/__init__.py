"""Rain where no record exists: storms of rectangular cells, fitted to a table of rare rain or to a record's statistics.

The process is the randomised Bartlett-Lewis process of rectangular pulses (Rodriguez-Iturbe, Cox and Isham 1987, 1988)
in the form whose cells are the more intense the shorter they are (Kaczmarska, Isham and Onof 2014; Onof and Wang
2020), with Weibull intensities and two kinds of storm laid over each other (after Cowpertwait 2004). This form was
chosen since it was made for extremes below the hour: short cells carry the cloudburst, clusters the day's rain, and
one storm's depth does not hang on its length. The mean of a year follows exactly from its parameters.

``model`` holds the records, ``moments`` the formulas, ``draws`` turns random numbers into cells, ``rare`` finds the
greatest rain of storms and years, ``fit`` and ``record_fit`` find parameters, ``made`` makes rain.
"""

from drainwright.water.rain_process.fit import fit_process
from drainwright.water.rain_process.made import MadeRain, MadeSpell, as_record, made_rain
from drainwright.water.rain_process.model import FittedProcess, Misfit, StormKind
from drainwright.water.rain_process.record_fit import fit_to_record

__all__ = [
    "FittedProcess", "MadeRain", "MadeSpell", "Misfit", "StormKind", "as_record", "fit_process", "fit_to_record",
    "made_rain",
]  # fmt: skip
