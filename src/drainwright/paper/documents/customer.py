"""What open points mean for the customer, in the customer's words. Advice for the firm stays in the worksheet."""

from __future__ import annotations

from drainwright.design import Design
from drainwright.findings.model import Finding, Severity
from drainwright.paper.documents.priced import seen_elsewhere

LOOK = "Look at the outlet after each big storm; where it joins a line underground, where that one ends."
_BY_CHECK = {
    "STM-01": "Such a storm reaches the floor: more has to be done before you rely on the works.",
    "STM-03": "Water stands there for a while in such a storm. Keep the grate swept.",
    "STM-04": "The pump wears faster than it should. Ask us what a wider basin costs.",
    "STM-05": "Ask us for a second pump, and an alarm that wakes you.",
    "STM-06": "Ask us for a battery unit, or another way out for the water.",
    "STM-07": f"{LOOK} Ask us for an overflow.",
    "STM-10": "Have the floats moved by hand at each visit. Ask us for a second pump.",
    "STM-11": "A pump that hums in dry weather is to be looked at the same day. Ask us for a second pump.",
    "STM-12": "Have the check valve looked at once a year.",
    "STM-13": "Have the relief hole looked at once a year. Ask us for a second pump.",
    "STM-14": "Sweep the grates before the wet season and after storms. Ask us for a second inlet.",
    "STM-15": "Have the lines flushed twice a year where trees stand near.",
    "STM-16": "Lead no other downspout in before asking us.",
    "STM-17": "The soil may bring more water than we took. Ask us for a test of the soil.",
    "STM-18": "Tell us what water comes over the boundary when it rains.",
    "STM-19": "Keep what water spoils off the floor.",
    "STM-20": "Keep the alarm in order, and know whom to call.",
    "STM-08": "Sweep the grates before the wet season and after storms.",
    "LFT-10": "The basin could float when the ground is wet: it is held down before it is ever pumped dry.",
    "LFT-12": "A licensed electrician gives the pump its own circuit, and the alarm another one.",
    "LFT-13": "Ask us for a battery unit that lasts a longer power cut.",
    "OUT-01": "The town's answer is needed in writing before you sign.",
    "OUT-10": "A storm larger than the one it is sized for, or silt over the years, fills it: keep its trap clean.",
    "OUT-12": "How fast your soil takes water in is measured before you sign; its size may change.",
    "OUT-13": "How high ground water stands there is looked for in a test hole before you sign.",
    "OUT-17": "In the wet season it stays partly full. Ask us for another way out for the drain.",
    "OUT-19": "When it is full, water comes out at the lowest grate: see that it can run away from the house there.",
    "OUT-20": "The list under 'What the place must be asked' is settled with the authorities before you sign.",
    "OUT-21": "Stone is laid where the water comes out, or the lawn washes out there.",
    "OUT-22": "Look where the water runs after a storm, and tell us if it stands or reaches your neighbour.",
    "OUT-23": "The street's owner is asked before the kerb is cut; ice can form there.",
    "DAY-09": "Whether a small machine digs is settled before you sign; days and price may change.",
    "OUT-29": "How fast your soil takes water in is measured where it goes before you sign; its size may change.",
    "OUT-30": "How high ground water stands there is looked for in a test hole before you sign.",
    "DIG-26": "That soil and water is tested before anyone digs; what tests and disposal cost is agreed in writing.",
    "FTG-05": "Keep the drain in order. Waterproofing is the better coat: ask us for its price.",
    "FTG-08": "A licensed engineer looks at this wall before anyone digs.",
    "FTG-10": "The ground should be shaped to fall away from the house. Ask us for its price.",
    "FTG-13": "The wall is coated up to the new ground before fill lies against it: ask us for its price.",
    "GRD-10": "Look where the water runs after a storm, and tell us if it stands or reaches your neighbour.",
    "FTG-12": "Beside that stretch the drain holds water no lower than its pipe.",
    "NET-01": "It is laid with a laser; it needs flushing more often than others.",
    "NET-02": "Keep wheels off it, and remember where it lies before you dig or plant.",
    "NET-13": "Sand settles in it: have it flushed every year.",
    "RAI-01": "We look up the official rain of your address before you sign; the design may change.",
    "GWT-06": "How fast your soil drains is tested beside the house; the amount of water may change.",
    "GWT-07": "We count the water you take out today, and test the soil, before the pump is chosen.",
    "SIZ-01": "Show us where every gutter and downspout ends: roof water that nobody leads away ends at the wall.",
    "SOI-01": "How fast your soil drains is tested before you sign; the amount of water may change.",
    "SOI-02": "How high ground water stands is looked for in a test hole; until then its amount is a guess.",
    "SOI-03": "We dig a test hole at that wall before you sign, or as our first work; the price may change.",
    "SOI-04": "A licensed soil engineer is asked before any drain is laid.",
}
_CAUTION_ONLY = {  # whose matter is not the size of pump or basin; where they fail they are settled
    "DIG-23": "We dig there by hand, as the line's owner agreed in writing, with the owner's watcher where it is so. "
    "That, and any shoring beside the line, is not in this price.",
    "DIG-30": "We lay it bare by hand and look where it lies before we dig beside it.",
    "LFT-08": "The pump's own sheet says which hole it needs: we follow it.",
    "LFT-09": "The alarm is set by the tape and tried before we leave.",
    "LFT-11": "Its cover is set a little above the finished ground, so that rain does not run in.",
    "LFT-18": "Sand and leaves wear a pump: have the basin cleaned every year.",
    "LFT-19": "The two pipes are joined outside it, or one comes in from another side.",
    "LFT-20": "Have the relief hole looked at once a year.",
    "LFT-21": "The pump's line is laid rising, or gets an air valve at its high place.",
    "LFT-22": "Silt settles in the low place of the pump's line: have it flushed every year.",
    "LFT-23": "In hard frost see that water still comes out at the end of the line, and call us if it does not.",
    "LFT-24": "Water that runs back starts the pump more often: have its check valve looked at once a year.",
    "LFT-25": "Pressure pipe with glued joints is laid there.",
    "LFT-26": "The pipe may knock when the pump stops. A check valve that a spring shuts is quieter: ask us for it.",
    "LFT-33": "Ask us what a battery unit that lifts more costs.",
    "LFT-36": "Keep the inlets' screens clean: what the pump does not pass stops it.",
    "LFT-40": "The pumps share a line and lift less while both run. Ask us what a wider line costs.",
    "LFT-41": "The overflow does not carry all of such a storm: keep the pump in order.",
    "LFT-43": "Hardly any water comes to this basin by our figures: ask us whether you need it.",
    "LFT-44": "The floats are set by the tape and tried before we leave.",
    "LFT-45": "The pump starts often: its float's switch is replaced sooner than the pump, as your handover says.",
}
_BY_WING = {
    "STM": "Ask us what would keep it from doing harm.",
    "LFT": "The pump or its basin is near its limit here. Ask us what a larger one costs.",
    "OUT": f"{LOOK} Call us if water comes back.",
    "FTG": "We settle this at the wall before it is covered.",
    "NET": "Have this line looked at every year.",
    "SIZ": "We settle this with you before you sign.",
    "SOI": "We settle this with a test hole before you sign.",
}
BOTH = "Keep both pumps and the alarm in order: have them tried once a year. Ask us for an overflow."
UNSETTLED = "We settle this before you sign and before any ground is opened."


def meaning(finding: Finding, design: Design | None = None) -> str:
    """What a finding means for the customer.

    Parameters
    ----------
    finding : Finding
        One that is not ok.
    design : Design, optional
        The designed job: what the works have is not offered again, and what the proposal prices is pointed to.

    Returns
    -------
    str
        One or two short sentences without names of fields or tools.
    """
    if finding.severity is Severity.FAILS and finding.id not in _BY_CHECK:
        return UNSETTLED
    told = (
        _BY_CHECK.get(finding.id)
        or _CAUTION_ONLY.get(finding.id)
        or _BY_WING.get(finding.id.split("-")[0])
        or UNSETTLED
    )
    if design is None:
        return told
    stations = design.system.stations
    if stations and all(station.second_on is not None for station in stations):
        told = told.replace("Ask us for a second pump, and an alarm that wakes you.", BOTH)
        told = told.removesuffix(" Ask us for a second pump.")
    return seen_elsewhere(told, finding, design)


__all__ = ["UNSETTLED", "meaning"]
