"""The published sources that formulas and limits cite: one registry, each with how it was seen.

``seen`` says what stands behind a citation: ``"seen"`` (the figure was read in the text, or in a public
quotation of it, while this tool was written), ``"from memory"`` (recalled and not looked up: confirm before
leaning on it) or ``"common practice, no source"``.
"""

from __future__ import annotations

import difflib
from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType
from typing import Literal, TypeAlias

from drainwright.errors import InputError

Seen: TypeAlias = Literal["seen", "from memory", "common practice, no source"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Source:
    """One published work, or the plain word that there is none."""

    key: str  # short name used by formulas and checks: "hec22"
    title: str
    edition: str
    where: str  # chapter, table or page that is used
    seen: Seen

    def __str__(self) -> str:
        parts = [part for part in (self.title, self.edition, self.where) if part]
        note = "" if self.seen == "seen" or self.key == "common_practice" else f" [{self.seen}]"
        return ", ".join(parts) + note


def _source(key: str, title: str, edition: str, where: str, seen: Seen) -> Source:
    return Source(key=key, title=title, edition=edition, where=where, seen=seen)


_SEEN: Seen = "seen"
_MEMORY: Seen = "from memory"
_PRACTICE: Seen = "common practice, no source"

# fmt: off
_ALL = (
    _source("hec22", "HEC-22, Urban Drainage Design Manual",
            "3rd ed., FHWA-NHI-10-009, 2009 (rev. 2013)",
            "ch. 4 inlets; ch. 7 storm drains and junction losses", _MEMORY),
    _source("ftc_cooling_off", "16 CFR 429.1, cooling-off period for sales at homes and certain other locations",
            "as quoted by a state's regulator", "three business days; refund within ten business days", _SEEN),
    _source("iso_4217", "ISO 4217, Codes for the representation of currencies",
            "2015", "table A.1, current currencies: public copies of 2015 and 2017 seen, later changes from memory",
            _MEMORY),
    _source("wcag22", "Web Content Accessibility Guidelines (W3C)",
            "2.2", "1.4.3 contrast 4.5:1; relative luminance, contrast ratio", _SEEN),
    _source("hds2", "FHWA HDS-2, Highway Hydrology",
            "2nd ed., FHWA-NHI-02-001, 2002",
            "ch. 2 time of concentration; ch. 5 Rational; ch. 6 storms; ch. 8 storage", _SEEN),
    _source("txdot", "TxDOT Hydraulic Design Manual",
            "online edition",
            "ch. 6 sec. 3 grade line; ch. 8 sec. 3 momentum function, eq. 8-22; ch. 10 sec. 6 grates, eq. 10-30/31",
            _SEEN),
    _source("austin_dcm", "Austin Drainage Criteria Manual",
            "online edition", "sec. 4.3.1, curb opening in a sump, after HEC-22", _SEEN),
    _source("nspc_2006", "National Standard Plumbing Code, illustrated",
            "2006", "Table 13.6.1, p. 321, vertical leaders 7/24 full", _SEEN),
    _source("chicago_plumbing", "Chicago Municipal Code, title 18-29",
            "online edition", "704.1 slopes; 712; 1111 sumps", _SEEN),
    _source("manning_1891", "R. Manning, On the flow of water in open channels and pipes",
            "Trans. Inst. Civ. Eng. Ireland 20, 1891", "pp. 161-207", _MEMORY),
    _source("chow_1959", "V. T. Chow, Open-Channel Hydraulics",
            "1959", "critical flow, direct step; Example 10-1", _MEMORY),
    _source("shammas_wang", "Shammas and Wang, Fair, Geyer and Okun's Water and Wastewater Engineering",
            "3rd ed., 2011", "p. 165, eq. 5.33 and 5.37, Hazen-Williams", _MEMORY),
    _source("mpca", "Minnesota Pollution Control Agency pump selection worksheet",
            "undated scan", "Hazen-Williams form; equivalent lengths of fittings", _SEEN),
    _source("darcy_weisbach", "Darcy-Weisbach friction formula with C. F. Colebrook's factor",
            "J. Inst. Civ. Eng. 11, 1939", "pp. 133-156", _MEMORY),
    _source("swamee_jain", "P. K. Swamee and A. K. Jain, Explicit equations for pipe-flow problems",
            "J. Hydr. Div. ASCE 102, 1976", "pp. 657-664", _MEMORY),
    _source("crane_410", "Flow of Fluids through Valves, Fittings and Pipe, technical paper 410",
            "1988", "App. A, equivalent lengths", _MEMORY),
    _source("perry_6", "Perry's Chemical Engineers' Handbook",
            "6th ed., 1984", "Table 5-19, K of a gate valve: 0.9 three quarters open, 4.5 half, 24 a quarter", _MEMORY),
    _source("idelchik", "I. E. Idelchik, Handbook of Hydraulic Resistance",
            "3rd ed., 1994", "diagrams 4-1, p. 208, and 4-9, p. 216: sudden change of section, the pages not seen",
            _MEMORY),
    _source("irc_a2", "International Residential Code, Appendix A",
            "2018", "Table A.2.2, p. 822, K and L/d of fittings", _SEEN),
    _source("ttu_3305", "Texas Tech CE 3305, Fluid Mechanics, course notes",
            "2024", "lesson 15, pump operating point", _SEEN),
    _source("perforated_orifice", "Perforated pipe inflow, orifice form Q = L B Cd Ao sqrt(2 g h)",
            "Sustainable Technologies wiki", "Flow through perforated pipe", _SEEN),
    _source("aashto_m252", "AASHTO M 252, corrugated polyethylene drainage pipe, 75-250 mm",
            "as quoted by a technical note", "class 2 inlet area 20 cm2/m", _SEEN),
    _source("dupuit", "Dupuit-Forchheimer flow between two heads, BYU CE 544 course",
            "analytical solutions part 1", "dupuit worksheet", _SEEN),
    _source("byu_influence", "Radius of influence, five formulas, BYU CE 544 course",
            "wells unit", "radius of influence worksheet", _SEEN),
    _source("sichardt", "W. Sichardt, range of dewatering wells; lines after J. P. Powers",
            "1928; Construction Dewatering, 2nd ed., 1992",
            "3000 radial, 1500-2000 for lines (m, m/s)", _SEEN),
    _source("ufc_3_220_05", "UFC 3-220-05 (TM 5-818-5), Dewatering and Groundwater Control",
            "1983 text, 2004 issue", "ch. 4, drainage slots", _SEEN),
    _source("slot_partial", "Slot partly penetrating an unconfined layer, factor 0.73 + 0.27 (H - h0)/H",
            "TM 5-818-5, 1983, ch. 4", "the equation is a figure there and was not legible", _MEMORY),
    _source("hooghoudt", "S. B. Hooghoudt's drain equation with W. H. van der Molen's equivalent depth",
            "formula text on a public page", "q L^2 = 8 K d h + 4 K h^2", _SEEN),
    _source("neh_16", "NRCS National Engineering Handbook 16 / EFH ch. 14, ellipse equation",
            "1971", "drain spacing", _MEMORY),
    _source("glover", "R. E. Glover, transient ground-water notes",
            "undated (Colorado water board scan)", "p. 25, eq. 6-7", _SEEN),
    _source("darcy", "H. Darcy's law", "1856", "q = K i A", _MEMORY),
    _source("jurin", "Capillary rise in a tube, Texas Tech CE 3354 course",
            "2024", "evaporation and infiltration notebook", _SEEN),
    _source("terzaghi", "K. Terzaghi, capillary rise hc = C/(e D10)",
            "Terzaghi and Peck, 1967", "C = 0.1-0.5 cm2", _MEMORY),
    _source("ernst_auger_hole", "L. F. Ernst's auger-hole formulas, in ILRI Publication 16 and W. F. J. van Beers",
            "2nd ed., 1994, ch. 12; 1958", "K = 4000 r/((20 + H/r)(2 - y/H) y) dy/dt, in cm, s and m/day", _MEMORY),
    _source("ernst_drain", "L. F. Ernst's radial resistance of a drain, in ILRI Publication 16",
            "2nd ed., 1994, ch. 8", "h_r = q L / (pi K) ln(D / u), u the wet perimeter", _MEMORY),
    _source("porchet", "Porchet's (inverse auger hole) method, printed in a soil laboratory's infiltration report",
            "2021", "f = R/(2 dt) ln((2 h1 + R)/(2 h2 + R)), with a table of readings", _SEEN),
    _source("ferris", "C. E. Jacob 1950 and J. G. Ferris 1951, tides in ground water, as taught at Delft",
            "exam collection 2006-2022", "s = A exp(-ax) sin(wt - ax), a = sqrt(w S / 2 kD)", _SEEN),
    _source("rawls_1982", "W. J. Rawls, D. L. Brakensiek and K. E. Saxton, Estimation of Soil Water Properties",
            "Trans. ASAE 25(5), 1982", "pp. 1316-1320, Table 2, bubbling pressure by texture", _MEMORY),
    _source("ei_11c201", "US Army EI 11C201 / UFC 3-240-04A, Wastewater Collection and Pumping",
            "1 March 1997", "ch. 7, Table 7-1, V = t q / 4", _SEEN),
    _source("mil_hdbk_1005", "MIL-HDBK-1005/9A, Industrial and Oily Wastewater Control",
            "eq. 1-2", "sec. 2.5.3.6, p. 32, cycle time at any inflow", _SEEN),
    _source("flotation", "Three conventions for safety against flotation, engineers' forum",
            "2013", "thread 340390", _SEEN),
    _source("archimedes", "Buoyant force equals the weight of displaced water",
            "standard", "any fluid mechanics text", _MEMORY),
    _source("sump_extension", "D. Friend, Sizing up a Sump Pump, University of Illinois Extension",
            "reprinted 2013", "basin volume, inflow rules, drawdown test", _SEEN),
    _source("cycle_rules", "Pump dealers' cycle rules: 6-10 starts an hour, 1 min run",
            "undated page", "short cycling article", _SEEN),
    _source("pchip", "F. N. Fritsch and R. E. Carlson, Monotone piecewise cubic interpolation",
            "SIAM J. Numer. Anal. 17, 1980", "pp. 238-246", _MEMORY),
    _source("geometry", "Plane and solid geometry", "standard", "", _MEMORY),
    _source("hydraulics_text", "Elementary hydraulics: continuity, energy and orifice relations",
            "standard", "any fluid mechanics text", _MEMORY),
    _source("neh_630_15", "NEH 630 ch. 15, Time of Concentration",
            "May 2010", "sec. 630.1504, p. 15-12", _SEEN),
    _source("neh_633_26", "NEH 633 ch. 26, Gradation Design of Sand and Gravel Filters",
            "August 2017", "Tables 26-2 and 26-3; categories 2 and 3 from memory", _SEEN),
    _source("tr55", "TR-55, Urban Hydrology for Small Watersheds", "2nd ed., June 1986", "ch. 2-6", _SEEN),
    _source("noaa_atlas14", "NOAA Atlas 14, Precipitation-Frequency Atlas of the United States",
            "volume by region", "point precipitation frequency tables", _MEMORY),
    _source("bartlett_lewis", "Bartlett-Lewis rectangular pulses: I. Rodriguez-Iturbe, D. R. Cox and V. Isham, Proc. R."
            " Soc. A 410, 1987 and 417, 1988; J. Kaczmarska, V. Isham and C. Onof, Hydrol. Sci. J. 59, 2014",
            "C. Onof and L.-P. Wang, Hydrol. Earth Syst. Sci. 24, 2020, abstract seen",
            "covariance given the pace of a storm; intensity by pace; formulas recalled, then derived anew", _MEMORY),
    _source("langbein_1949", "W. B. Langbein, Annual floods and the partial-duration flood series",
            "Trans. Am. Geophys. Union 30, 1949", "pp. 879-881", _MEMORY),
    _source("rational", "Rational method, Q = C i A", "HDS-2, 2nd ed., 2002", "ch. 5", _SEEN),
    _source("runoff_coefficients", "Runoff coefficients by surface, ASCE Manual 37 (1969) and HDS-2 (2002)",
            "", "upper ends of the ranges for storms to 10 years; frequency factors beyond", _MEMORY),
    _source("carsel_parrish", "R. F. Carsel and R. S. Parrish, Joint probability distributions of soil water retention",
            "Water Resour. Res. 24(5), 1988", "pp. 755-769, class means of saturated conductivity", _SEEN),
    _source("kerby_kirpich", "Kerby and Kirpich times of concentration, Texas Tech CE 3354",
            "spreadsheet", "retardance and channel terms", _SEEN),
    _source("neh_630_15_sheet", "NEH 630 ch. 15, Time of Concentration: sheet flow",
            "May 2010", "100 ft at most; eq. 15-9, Table 15-2, after McCuen and Spiess; in a public quotation", _SEEN),
    _source("henderson_wooding", "F. M. Henderson and R. A. Wooding, Overland flow and groundwater flow",
            "J. Geophys. Res. 69(8), 1964", "pp. 1531-1540; also Chow, Maidment and Mays 1988, sec. 9.4", _MEMORY),
    _source("ipc_side_walls", "International Plumbing Code, vertical walls that shed on to a roof",
            "2018", "sec. 1106.4, in a public quotation", _SEEN),
    _source("en_12056_3", "EN 12056-3, roof drainage: effective area with wind-driven rain",
            "2000", "rain at 26 degrees to the vertical, in a public quotation of the table", _SEEN),
    _source("kinematic_wave", "Kinematic sheet flow, HDS-2", "2nd ed., 2002", "Example 2.2, p. 2-26", _SEEN),
    _source("green_ampt", "W. H. Green and G. A. Ampt, Studies on soil physics",
            "J. Agric. Sci. 4, 1911", "pp. 1-24", _MEMORY),
    _source("levelling", "US Navy NAVEDTRA 14071, Engineering Aid: level computations",
            "p. 7-5", "page check of a level book", _SEEN),
    _source("level_allowance", "Allowable misclosure 0.05 ft sqrt(miles), 12 mm sqrt(km)",
            "surveying texts", "ordinary levelling", _MEMORY),
    _source("bowditch", "Compass (Bowditch) rule, J. Mahun, open-access Traverse Computations",
            "ch. I", "four-course loop", _SEEN),
    _source("least_squares", "Least-squares adjustment of tape ties",
            "standard", "any adjustment text", _MEMORY),
    _source("delaunay", "B. Delaunay, triangulation of points", "1934", "standard", _MEMORY),
    _source("kriging", "G. Matheron, kriging with a drift; O. Dubrule, cross validation in a unique neighborhood",
            "1969; Math. Geol. 15, 1983", "pp. 687-699, every miss from one inverse", _MEMORY),
    _source("d_infinity", "D. G. Tarboton, directions of flow and contributing areas in grids of levels",
            "Water Resour. Res. 33(2), 1997", "pp. 309-319; shares here by the tangent of the angle", _MEMORY),
    _source("earthwork", "Volume by average end area and grids", "standard", "any surveying text", _MEMORY),
    _source("swell_table", "Swell factors for various soils",
            "public engineering page", "percent by soil, spread of 10 points", _SEEN),
    _source("stone_voids", "Porosity and density of clean stone, laboratory data of a manufacturer",
            "tech sheet 1", "AASHTO No. 57 and No. 4", _SEEN),
    _source("astm_d1785", "ASTM D1785, PVC pipe, Schedules 40, 80 and 120",
            "as quoted by public tables", "Tables 1-2; pressure ratings at 23 °C, Appendix X1", _SEEN),
    _source("buried_pipe", "A. P. Moser and S. Folkman, Buried Pipe Design: surge in PVC pipe by Joukowsky",
            "3rd ed., 2008", "ch. 4, Example 4.2, p. 220, and eq. 4.7", _SEEN),
    _source("ergun_1952", "S. Ergun, Fluid flow through packed columns",
            "Chem. Eng. Prog. 48, 1952", "pp. 89-94", _MEMORY),
    _source("terzaghi_filter", "Terzaghi's filter ratios, as handbooks print them",
            "Horonjeff and others, Planning and Design of Airports, 5th ed.", "p. 379, after the Corps of Engineers",
            _SEEN),
    _source("ufc_3_270_04", "UFC 3-270-04, Pavement Maintenance: subsurface drains",
            "15 March 2001", "sec. 12.5-12.6, pp. 80 and 83", _SEEN),
    _source("aashto_m288", "AASHTO M 288, geotextiles for subsurface drainage: opening and permittivity",
            "1999, as UFGS 02373 quotes it", "classes by what passes the No. 200 sieve", _SEEN),
    _source("fhwa_geotextile", "FHWA NHI-07-092, Geosynthetic Design and Construction Guidelines",
            "2008", "ch. 2, retention O95 <= B d85, after Christopher and Holtz", _MEMORY),
    _source("stone_57", "ASTM C33 and D448 (AASHTO M 43), sizes of coarse aggregate",
            "as a trade journal's answer quotes it", "No. 57", _SEEN),
    _source("cosby_1984", "B. J. Cosby and others, soil moisture characteristics: mean sand, silt and clay by texture",
            "Water Resour. Res. 20(6), 1984", "pp. 682-690, Table 2", _MEMORY),
    _source("astm_d2729", "ASTM D2729, PVC sewer pipe and fittings",
            "as quoted by public tables", "3, 4 and 6 in", _SEEN),
    _source("astm_d3034", "ASTM D3034, PVC sewer pipe, SDR 35",
            "as quoted by public tables", "4 and 6 in", _SEEN),
    _source("astm_f405", "ASTM F405, corrugated polyethylene pipe, 3-6 in",
            "withdrawn, superseded by F667", "3-6 in", _MEMORY),
    _source("irc_r401", "International Residential Code R401.3, drainage",
            "2006 text and later quotes", "6 in within 10 ft, 5 % and 2 % exceptions", _SEEN),
    _source("irc_r404", "International Residential Code R404.1.6, height of foundation walls above finished ground",
            "2009 text as quoted, 2016 as adopted by a state; other numbers in some editions",
            "6 in; 4 in under masonry veneer", _SEEN),
    _source("irc_r317", "International Residential Code R317.1, protection of wood against decay",
            "as adopted by states",
            "siding 6 in from ground, 2 in from paving; framing on foundation walls 8 in from exposed ground", _SEEN),
    _source("irc_r703", "International Residential Code R703.7.2.1, weep screeds",
            "text quoted under its earlier number R703.6.2.1", "4 in above earth, 2 in above paving", _SEEN),
    _source("irc_r405", "International Residential Code R405.1, foundation drainage",
            "2000 text and later quotes", "stone envelope, membrane, discharge", _SEEN),
    _source("irc_r406", "International Residential Code R406.1 and R406.2, damp-proofing and waterproofing",
            "several editions quoted", "materials and limits differ by edition", _SEEN),
    _source("irc_ch33", "International Residential Code ch. 33, storm drainage",
            "SC 2021", "sump pit 18 x 24 in; subsoil drain materials", _SEEN),
    _source("plumbing_cleanouts", "International Residential Code P3005.2, International Plumbing Code 708, cleanouts",
            "2018 and later", "every 100 ft; at turns of more than 45 degrees, one for all within 40 ft", _MEMORY),
    _source("ipc_802", "International Plumbing Code 802.3.1 (802.2.1 in some editions), air gap of indirect waste",
            "as adopted by a city in 2021", "twice the effective opening; that city: and not under 1 in", _SEEN),
    _source("nec_gfci", "National Electrical Code, article 210.8",
            "2008 and later", "GFCI for sump receptacles", _MEMORY),
    _source("osha_651", "29 CFR 1926.651, specific excavation requirements",
            "current text as summarised", "egress, spoil, footings, inspection", _SEEN),
    _source("osha_652", "29 CFR 1926.652, protective systems",
            "current text as summarised", "5 ft, App. B slopes, shields, 20 ft", _SEEN),
    _source("osha_1995_06", "OSHA interpretation, house foundation excavations",
            "30 June 1995", "conditions: under 7.5 ft, 2 ft bottom, spoil no closer than the depth", _SEEN),
    _source("one_call", "State one-call laws and centres",
            "differs by state", "notice, ticket life, tolerance zone 18-24 in", _SEEN),
    _source("ten_states", "Ten States Standards, Recommended Standards for Water Works, sec. 8.8",
            "section from memory; same rule seen in Illinois, Chicago and Ohio codes",
            "10 ft apart, 18 in at crossings", _SEEN),
    _source("root_zone", "Critical root zone, municipal rules",
            "Edina MN, NC State Extension, Vancouver WA and others", "1.0-1.5 ft per inch of trunk", _SEEN),
    _source("root_cutting", "Cutting tree roots, two public arborists' pages",
            "undated pages", "within 3 to 5 trunk diameters: stability at risk; 20 to 25 % of the roots in all", _SEEN),
    _source("wi_atcp_110", "Wisconsin Administrative Code ATCP 110.09, basement waterproofing practices",
            "as the state's consumer agency tells it, undated page",
            "a written analysis with methods and materials before a contract; guarantees in writing", _SEEN),
    _source("hand_dig_rates", "Hand excavation rates, international compendium",
            "online", "m3 per man-hour by soil and depth", _SEEN),
    _source("coating_sheets", "Coverage arithmetic of coatings: 1604 x volume solids / dry mils",
            "public coating page", "sq ft per gallon", _SEEN),
    _source("dampproofing_practice", "Dampproofing: why, where and how",
            "trade journal", "surface, weather and cure", _SEEN),
    _source("bearing_wedge", "Keep-out wedge below a footing, 45 degrees from its bottom corner",
            "trade rule", "60 degrees real, 45 with a margin", _SEEN),
    _source("gumbel", "E. J. Gumbel, Statistics of Extremes; frequency factor of V. T. Chow 1951", "1958",
            "extreme value type I by moments", _MEMORY),
    _source("hosking_1985", "J. R. M. Hosking, J. R. Wallis, E. F. Wood, generalised extreme value law by "
            "probability-weighted moments", "Technometrics 27(3), 1985, 251-261",
            "law, L-moments and the test of shape zero, as quoted in the documentation of public packages", _SEEN),
    _source("bayes", "T. Bayes, An essay towards solving a problem in the doctrine of chances",
            "Phil. Trans. 53, 1763", "odds times likelihood ratios; pieces of evidence taken as independent", _MEMORY),
    _source("rising_damp", "Rising damp and salts in walls, two building surveyors' pages",
            "undated pages", "damp to 1 to 1.5 m; salts show water came through, no salts show nothing", _SEEN),
    _source("basement_questions", "Questions that diagnose water in a basement, public list",
            "undated page", "condensation: independent of rain, humid summer, the coldest surfaces", _SEEN),
    _source("meter_test", "Water-meter test for leaks, inspectors' and plumbers' pages",
            "2007 and later", "all off, meter read twice; warm spot and bill of a leak under a slab", _SEEN),
    _source("cupped_floors", "Cupped timber floors, two trade journals",
            "undated articles", "moisture from below; sprinklers against the wall; several causes at once", _SEEN),
    _source("soil_above_floor", "Wet crawl space that a drain did not cure, consumer report",
            "2011", "earth above vents and sills", _SEEN),
    _source("roof_and_grade", "Wet basements, two public advice pages, one after a university's extension service",
            "2012 and undated", "a large share is cured by gutters and grading alone", _SEEN),
    _source("sheet_test", "Plastic or foil taped to wall or floor, three household pages",
            "undated pages", "wet behind: through the wall; wet on the room's face: condensation", _SEEN),
    _source("hose_test", "Soaking one place at a time with a hose, contractor's page",
            "undated page", "hose test before and after work", _SEEN),
    _source("tangent_plane", "B. Hofmann-Wellenhof, H. Lichtenegger and E. Wasle, GNSS", "2008",
            "sec. 8.2.2, geocentric to local east, north, up", _MEMORY),
    _source("baarda", "W. Baarda, A testing procedure for use in geodetic networks", "1968", "data snooping", _MEMORY),
    _source("ciria_156", "R. Bettess, Infiltration drainage: manual of good practice, CIRIA Report 156",
            "1996", "storage routing through bottom and sides; half-empty time; factors of safety", _MEMORY),
    _source("bre_365", "BRE Digest 365, Soakaway design",
            "1991, later 2016", "S = I - O, sides to half the depth, bottom not counted; from public sheets", _SEEN),
    _source("trench_area", "Infiltration trench, area by volume, after Schueler 1987 and state manuals",
            "public design notes", "A = V / (n d + f T), time to fill 2 h; 0.5 in/h at least", _SEEN),
    _source("glover_well", "R. E. Glover, Flow for a test hole located above groundwater level; USBR Earth Manual",
            "1953", "constant head in a hole, low water table", _MEMORY),
    _source("hantush_1967", "M. S. Hantush, Growth and decay of groundwater mounds under uniform percolation",
            "Water Resour. Res. 3(1), 1967", "pp. 227-234; form seen in public notes, table from memory", _SEEN),
    _source("soak_setbacks", "Set-backs of infiltration, a state stormwater manual and a county's dry-well sheet",
            "2010 and 2022", "house 10 ft, boundary 10 ft, well 50 ft, septic 25 to 50 ft, fill slopes 50 ft",
            _SEEN),
    _source("hec14", "FHWA HEC-14, Hydraulic Design of Energy Dissipators for Culverts and Channels",
            "3rd ed., 2006", "eq. 10.4 and 10.5 of the riprap apron, seen; Table 10.1, its length, from memory", _SEEN),
    _source("scs_tp61", "SCS TP-61, Handbook of Channel Design for Soil and Water Conservation",
            "1954", "permissible velocities in grass, as quoted in a county code's Table 7", _SEEN),
    _source("bare_velocity", "Runoff velocity by soil and cover, a state stormwater manual's table",
            "online edition", "bare 1.5 to 2.5 ft/s; below Fortier and Scobey 1926, from memory", _SEEN),
    _source("free_jet", "Albertson, Dai, Jensen and Rouse, Diffusion of submerged jets",
            "Trans. ASCE 115, 1950", "velocity on the axis, 6.2 diameters over distance", _MEMORY),
    _source("battery_rule", "Hours of a battery: usable charge over the current times the share of run time",
            "two undated trade pages", "75 to 100 Ah at 12 V; units draw 8 to 40 A", _SEEN),
    _source("switch_cycles", "IEC 61058-1, Switches for appliances, classes of endurance",
            "2016", "10,000 to 100,000 operating cycles", _MEMORY),
    _source("sump_solids", "Solids through sump pumps, a builder's column on sump and backup pumps",
            "undated page", "usually about 1/2 in", _SEEN),
    _source("wilkins_1956", "J. K. Wilkins, Flow of water through rockfill and its application to the design of dams",
            "Proc. 2nd Australia-New Zealand Conf. Soil Mech., 1956", "V = W m^0.5 i^0.54, W 32.9 in inches, 5.243 m",
            _MEMORY),
    _source("eia_interruptions", "U.S. Energy Information Administration, power interruptions of customers, form 861",
            "articles of Nov. 2018 and, as quoted elsewhere, on 2022",
            "2017: 7.8 h and 1.4 cuts, 1.0 and some 2 h without major events; 2022: 5.6 h and 1.4 cuts", _SEEN),
    _source("sump_life", "Village of Niles, Prevent Sump Pump Failure, quoting the U.S. housing department",
            "page of 6 Jan. 2011", "life of some ten years; four to seven for automatic ones", _SEEN),
    _source("saltelli_2010", "A. Saltelli and others, Variance based sensitivity analysis of model output",
            "Comput. Phys. Commun. 181, 2010", "after M. Jansen 1999, estimators of first and total order", _MEMORY),
    _source("korn_graubard", "E. L. Korn and B. I. Graubard, Confidence intervals for proportions with small counts",
            "Survey Methodology 24, 1998", "exact band for as many years as tell as much", _MEMORY),
    _source("clopper_pearson", "C. J. Clopper and E. S. Pearson, The use of confidence or fiducial limits",
            "Biometrika 26, 1934", "exact band of a chance that was counted", _MEMORY),
    _source("spearman", "C. Spearman, The proof and measurement of association between two things",
            "Am. J. Psychol. 15, 1904", "correlation of ranks", _MEMORY),
    _source("strong_2014", "M. Strong, J. E. Oakley and A. Brennan, Estimating multiparameter partial expected value",
            "Med. Decis. Making 34, 2014", "by regression; sample information likewise, 2015", _MEMORY),
    _source("raiffa_schlaifer", "H. Raiffa and R. Schlaifer, Applied Statistical Decision Theory",
            "1961", "unit normal loss; worth of perfect and sample information", _MEMORY),
    _source("gelman_bda", "A. Gelman and others, Bayesian Data Analysis",
            "3rd ed., 2013", "2.5 normal mean with known variance; 3.5 many normals", _MEMORY),
    _source("common_practice", "Common practice of the trade, no source", "", "", _PRACTICE),
)
# fmt: on

SOURCES: Mapping[str, Source] = MappingProxyType({source.key: source for source in _ALL})


def cite(key: str) -> str:
    """The citation of a source in one line.

    Parameters
    ----------
    key : str
        A key of ``SOURCES``.

    Returns
    -------
    str
        Title, edition and place; sources that were not looked up carry ``[from memory]``.

    Raises
    ------
    InputError
        If there is no such key; the error offers the nearest one.

    Examples
    --------
    >>> cite("common_practice")
    'Common practice of the trade, no source'
    """
    if key in SOURCES:
        return str(SOURCES[key])
    near = difflib.get_close_matches(key, SOURCES, n=1)
    hint = f"; did you mean {near[0]!r}?" if near else ""
    raise InputError(f"key = {key!r}: expected the key of a source in the registry{hint}")
