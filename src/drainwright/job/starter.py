"""The starter job that a new document begins with: complete, small, and every section explained."""

from __future__ import annotations

import re

from drainwright.errors import InputError

_US = """\
# A new job. Every value below is an EXAMPLE: overwrite it with your own.
#
# Every quantity has its unit: 42 ft 6 in, 12.95 m, 1/8 in/ft, 1 %, 45 gpm, 15 min, 10 yr.
# A value may say how it is known, behind a comma: measured, mapped (from a map, table or record),
# stated (the usual, if nothing is said) or assumed. The mark travels to every figure that leans on it:
#     footing_bottom: 2 ft 6 in below A, measured
# With more to tell, write it out:
#     texture: {value: loam, basis: mapped, source: county soil survey, date: 2024-05-02}
# A level is an elevation (98.20 ft), or an offset from a point with a level, the lowest floor, the ground
# at that place, or the nearest footing: 6 in below A; 1 ft above floor; 3 ft below ground; at footing; at P1.
# A place is a point's name, or east and north in quotes: "12 ft, 30 ft".
# Within { } or [ ] a comma ends the value: there, put a value that holds a comma in quotes:
#     {name: roof, area: "560 ft2, measured", to: DS1}

schema_version: 1            # the form of this document; leave it
title: EXAMPLE job, overwrite every value
number: EX-1
date: 2024-05-02             # of the visit
units: US                    # of the papers: US or SI; the document may mix both
demonstration: true          # set to false for a real job: the papers of a demonstration say what they are

# Who does it, and for whom. All optional; the papers print what is here.
firm: {name: Example Drainage Company, phone: 555-0100, licence: EXAMPLE}
customer: {name: A. Customer, address: 1 Example Lane}
property:
  address: 1 Example Lane
  town: Exampleton
  year_built: 1970
  access: {gate_width: 3 ft, barrow_distance: 80 ft, street_distance: 40 ft}

# What was seen or told. By sign and spot the causes are ranked.
symptoms:
  - what: damp at the base of the wall
    where: south wall
    when: days after rain
    height: 6 in
    sign: damp band on wall
    spot: wall base

# The simple tests that were done.
moisture_tests:
  - {kind: meter with taps shut, result: still}

# What was measured.
survey:
  instrument: laser          # or optical, or water level
  tape_accuracy: 1/4 in
  benchmark: {name: BM, elevation: 100.00 ft, description: EXAMPLE door sill}
  # The walk round the house: from a corner along each side, and the turn at its end (right is positive).
  perimeter:
    start: A
    at: 0 ft, 0 ft
    bearing: 90 deg          # of the first side, clockwise from north
    legs:
      - {to: B, length: 40 ft, turn: -90 deg}
      - {to: C, length: 28 ft, turn: -90 deg}
      - {to: D, length: 40 ft, turn: -90 deg}
      - {to: A, length: 28 ft, turn: -90 deg}
  # Other points, each fixed in one of three ways: east and north; two or more tape ties from known points;
  # or along a line between two points, with an offset to its left (right is negative).
  points:
    - {name: LOW, ties: [{from: A, distance: 18 ft}, {from: B, distance: 36 ft}], side: "10 ft, -12 ft", note: low spot}
    - {name: S1, along: [A, B], distance: 44 ft, offset: -6 ft, note: open ground for the basin}
    - {name: DP1, along: [A, B], distance: 39 ft, offset: -6 in, note: "not ground: downspout"}
    - {name: KERB, east: 44 ft, north: -40 ft, note: street}
    - {name: N1, east: -15 ft, north: 40 ft}
    - {name: N2, east: 55 ft, north: 40 ft}
    - {name: W1, east: -15 ft, north: -40 ft}
    - {name: E1, east: 60 ft, north: 0 ft}
  # The level book: rod readings in the order they were taken; a higher reading is lower ground. A backsight
  # on a known level first. A turning point has a foresight and a backsight. Come back to the benchmark.
  level_book:
    - {point: BM, backsight: 4.00 ft, distance: 40 ft}
    - {point: A, intermediate: 4.90 ft}
    - {point: B, intermediate: 4.95 ft}
    - {point: LOW, intermediate: 5.20 ft}
    - {point: S1, intermediate: 5.10 ft}
    - {point: W1, intermediate: 5.90 ft}
    - {point: E1, intermediate: 5.15 ft}
    - {point: KERB, intermediate: 6.10 ft}
    - {point: TP1, foresight: 4.60 ft, backsight: 4.20 ft, distance: 50 ft}
    - {point: C, intermediate: 4.35 ft}
    - {point: D, intermediate: 4.30 ft}
    - {point: N1, intermediate: 4.10 ft}
    - {point: N2, intermediate: 4.15 ft}
    - {point: BM, foresight: 3.60 ft, distance: 45 ft}

# The house: corners in order round it, its lowest floor, and its walls seen from outside.
house:
  outline: [A, B, C, D]
  floor_kind: slab           # slab, crawl space or basement
  floor: 4 in below BM, assumed
  walls:
    - name: south
      from: A
      to: B
      footing_bottom: 2 ft below A, measured
      material: block        # block, poured concrete, stone or wood
      wet: true
      open_and_coat: true    # dig to the footing, clean and coat
      coating: {kind: damp-proofing, coats: 2, parge: false, board: true}

# Soil and groundwater. Leave out what nobody knows: it is then taken from the texture, and marked assumed.
ground:
  texture: sandy loam, assumed
  water_table: 5 ft below A, assumed
  osha_type: C, assumed      # soil for trench protection: stable rock, A, B or C
  roots: few

# Rain of the place: depths by duration and return period from the official table, or a file beside this
# one (file: rain.csv) as NOAA Atlas 14 serves it. These numbers are invented.
rain:
  source: EXAMPLE, invented
  basis: assumed
  return_periods: [2 yr, 10 yr, 25 yr, 100 yr]
  table:
    - {duration: 5 min, depths: [0.45 in, 0.60 in, 0.70 in, 0.85 in]}
    - {duration: 15 min, depths: [0.85 in, 1.15 in, 1.35 in, 1.65 in]}
    - {duration: 1 h, depths: [1.50 in, 2.10 in, 2.50 in, 3.20 in]}
    - {duration: 6 h, depths: [2.40 in, 3.50 in, 4.30 in, 5.60 in]}
    - {duration: 24 h, depths: [3.20 in, 4.80 in, 6.00 in, 8.00 in]}

# Roofs shed to downspouts, yards to inlets (or away).
roofs:
  - {name: south roof, area: "560 ft2, measured", to: DS1}
  - {name: north roof, area: "560 ft2, measured", to: DS2}
downspouts:
  - {name: DS1, at: DP1, size: 2x3 in}
  - {name: DS2, at: D, size: 2x3 in, ends: splash}   # onto the ground, which falls away there
yards:
  - name: side yard
    outline: ["-12 ft, -30 ft", "20 ft, -30 ft", "20 ft, -2 ft", "-12 ft, -2 ft"]
    surface: lawn
    slope: 2 %, measured
    to: CB1

# What is buried, each with the depth to its top; and the kinds that were asked about and are not here.
# A locate ticket comes before any digging, whatever stands in this file.
utilities:
  - name: water service
    kind: water
    route: ["30 ft, -40 ft", "30 ft, 0 ft"]
    depth: 42 in, assumed   # or: unknown
    diameter: 1 in
    located_by: owner says   # locate ticket, private locate, exposed by hand, owner says or nobody
    shutoff: EXAMPLE meter box
  - name: house sewer
    kind: sewer
    route: ["20 ft, 28 ft", "20 ft, 40 ft"]
    depth: 4 ft, measured
    diameter: 4 in
    located_by: private locate
# Asked about, and not in this ground (here power and telephone come in overhead):
utilities_absent: [gas, septic, electric, communication, irrigation, irrigation control, low voltage lighting]
trees:
  - {name: maple, at: "-12 ft, -20 ft", trunk_diameter: 14 in}

# The works. Say what you want; what is left out (pipe, grades, basin size, pump, floats) is designed.
works:
  inlets:
    - {name: CB1, at: LOW, kind: catch basin, size: 12 in}
  runs:                      # each from its upper end to its lower end
    - {name: FD1, duty: footing drain, from: A, to: SUMP, beside: [south], cleanout: true}
    - {name: YD1, duty: yard drain, from: CB1, to: SUMP}
    - {name: L1, duty: leader, from: DS1, to: SUMP}
    - {name: DL, duty: discharge line, from: SUMP, to: OUT}
  basin: {name: SUMP, at: S1}
  # Ground to shape so that it falls away from a wall (10 ft wide, falling 6 in, unless you say other):
  # shaping: [{wall: south, finish: seed}]
  discharge:
    - name: OUT
      at: KERB
      kind: street
      invert: 0.4 ft below KERB
      permission: not asked, assumed
      winter_relief: true    # an opening near the house, should the line freeze

# What the design must keep, where you want other than the usual: storms, grades, cover and so on.
criteria:
  roof_water: to basin       # separate, to basin, or to footing drain
  storm_return_period: 25 yr

# What the place demands. Look each up, and name the source: until then it is assumed.
rules:
  name: EXAMPLE town
  locate_notice: {value: 3, basis: assumed, source: look up your one-call law}
  frost_depth: 12 in, assumed

crew: {size: 4, hours_per_day: 8}
equipment: {barrow: 3.5 ft3, trailer_volume: 5 yd3, trailer_payload: 7000 lb}
"""

_QUANTITY = re.compile(
    r"(?<![\w/.])(?P<sign>-?)(?:(?P<feet>[0-9]+) ft (?P<inches>[0-9]+) in|(?P<number>[0-9]+(?:\.[0-9]+)?|1/4)"
    r" (?P<unit>ft2|ft3|yd3|ft|in|lb))(?![\w/])"
)
_METRIC = {  # factor, unit, decimals
    "ft": (0.3048, "m", 2),
    "in": (25.4, "mm", 0),
    "ft2": (0.09290304, "m2", 0),
    "ft3": (0.0283168, "m3", 2),
    "yd3": (0.764555, "m3", 1),
    "lb": (0.45359237, "kg", 0),
}


def _metric(match: re.Match[str]) -> str:
    """A quantity of the starter in metric units, rounded for people."""
    if match["feet"]:
        return f"{match['sign']}{(int(match['feet']) + int(match['inches']) / 12) * 0.3048:.2f} m"
    factor, unit, decimals = _METRIC[match["unit"]]
    number = 0.25 if match["number"] == "1/4" else float(match["number"])
    finer = 1 if "." in match["number"] else 0  # rod readings and rain
    return f"{match['sign']}{number * factor:.{decimals + finer}f} {unit}"


def new_job_text(units: str = "US") -> str:
    """The commented starter job: small, complete and right, with every value marked as an example.

    Parameters
    ----------
    units : {"US", "SI"}
        Units of its values.

    Returns
    -------
    str
        A YAML document that reads without an error.

    Raises
    ------
    InputError
        If ``units`` is neither.
    """
    if units == "US":
        return _US
    if units != "SI":
        raise InputError(f"units = {units!r}: expected 'US' or 'SI'")
    text = _QUANTITY.sub(_metric, _US.replace("units: US", "units: SI"))
    shown = "# Every quantity has its unit: "
    return text.replace(f"{shown}12.95 m, 12.95 m, 1/8 in/ft, 1 %, 45 gpm", f"{shown}12.95 m, 450 mm, 1 %, 2.8 L/s")


__all__ = ["new_job_text"]
