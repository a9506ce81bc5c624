"""How money, marks and barrow rounds are written, the same in findings, papers and on the terminal."""

from __future__ import annotations

from decimal import ROUND_HALF_UP, Decimal

from drainwright.build.earth import barrow_load, loads
from drainwright.build.model import DigPlan, Trench
from drainwright.job.firm import Equipment
from drainwright.job.site import DigGuard
from drainwright.job.values import Basis
from drainwright.worksheet import quiet

SEEDED = ("lawn", "bare soil")  # surfaces that are raked and seeded after the digging
BASIS_WORDS = {
    Basis.MEASURED: "measured",
    Basis.MAPPED: "from a map or record",
    Basis.STATED: "stated, not checked",
    Basis.ASSUMED: "ASSUMED",
}
_SIGNS = {"USD": "$"}  # currencies that are written with a sign before the amount


def lengths_rule(length: str, walls: int = 1) -> str:
    """How a wall that is not bared whole, or each of several, is opened: the one rule, for every paper."""
    return (
        f"open {'it' if walls == 1 else 'each'} in lengths of {length} at most: odd lengths first, an unopened one "
        "between each two; no even one before all odd ones are filled and tamped"
    )


def guard_words(planned: DigGuard) -> str:
    """How people are kept safe in a dig that neither slope nor shield fits, quoted with its date."""
    return f"{planned.kind}, {planned.by}, {planned.on.isoformat()}: “{planned.text}”"


def entry_rule(trench: Trench) -> str:
    """When people may enter a dig inside which live lines lie along: the one rule, for every paper; empty elsewhere."""
    if trench.protection != "slope or shield" or not trench.bars:
        return ""
    if trench.planned:
        return f"Nobody goes in before this stands: {trench.planned}."
    lines = " and ".join(trench.bars)
    return (
        f"Nobody goes in before the {lines} is moved or dead by its owner's word, or shoring designed round it stands."
    )


def beside_rule(kind: str) -> str:
    """What holds up a thing that stands on the ground beside a dig: the one rule, for every paper.

    29 CFR 1926.651(i): support systems for adjoining buildings, walls or other structures that the dig endangers; from
    memory.
    """
    if kind == "fence":
        return (
            "Its posts may lean or fall in. Brace it, or take panels and posts out while the dig is open, with its "
            "owner's leave in writing. No spoil against it, and dig under no post (29 CFR 1926.651(i))."
        )
    return (
        "Nobody digs below its bottom there unless it is held up as an engineer says (29 CFR 1926.651(i)); its "
        "weight counts where shores or a shield are chosen."
    )


def asked_guard(trench: Trench) -> str:
    """What a dig's depth, soil and room ask for before anyone enters it: the one wording, for every paper."""
    if trench.protection == "slope or shield":
        if trench.planned:
            return f"only in this: {trench.planned}"
        if trench.bars:
            lines = " and ".join(trench.bars)
            return f"nobody enters: no slope or shield fits, for the {lines} lies live along inside"
        if not trench.slope_fits:
            return "shore or shield: no room to slope"
        return f"slope {trench.slope_run:g} across to 1 up, or shore or shield"
    asked = {
        "engineer": "engineer's design only",
        "house-foundation letters": "OSHA letters of 1995, all conditions",
        "none": "none by depth; look first",
    }
    return asked.get(trench.protection, trench.protection)


def guarded(trench: Trench) -> str:
    """The same of sides that are guarded already: they are *shored or shielded*."""
    if not trench.slope_fits:
        return "shored or shielded: no room to slope"
    return f"sloped {trench.slope_run:g} across to 1 up, or shored or shielded"


def money(amount: Decimal, currency: str, digits: int = 2) -> str:
    """An amount of money with its currency.

    Parameters
    ----------
    amount : Decimal
        Any amount.
    currency : str
        Code of ISO 4217.
    digits : int
        Decimals, rounded half up.

    Returns
    -------
    str
        A sign before dollars, the code after any other currency.

    Examples
    --------
    >>> money(Decimal("21271.99"), "USD")
    '$21,271.99'
    >>> money(Decimal("21271.99"), "EUR", 0)
    '21,272 EUR'
    """
    number = amount.quantize(Decimal(1).scaleb(-digits), rounding=ROUND_HALF_UP)
    sign = _SIGNS.get(currency)
    if sign is None:
        return f"{number:,.{digits}f} {currency}"
    return f"{'-' if number < 0 else ''}{sign}{abs(number):,.{digits}f}"


def round_money(amount: Decimal, currency: str) -> str:
    """An amount to the nearest ten, for a band; below a thousand to the nearest one.

    Examples
    --------
    >>> round_money(Decimal("19719.20"), "USD")
    '$19,720'
    """
    step = Decimal(10) if abs(amount) >= 1000 else Decimal(1)
    return money((amount / step).quantize(Decimal(1), rounding=ROUND_HALF_UP) * step, currency, 0)


def money_band(low: Decimal, high: Decimal, currency: str) -> str:
    """From where to where a price may come: without contingency, and with twice as much.

    Examples
    --------
    >>> money_band(Decimal("19719.20"), Decimal("22004.00"), "USD")
    '$19,720 to $22,000'
    """
    return f"{round_money(low, currency)} to {round_money(high, currency)}"


def barrow_rounds(dig: DigPlan, kit: Equipment) -> tuple[int, int]:
    """Barrow rounds of spoil out, and of stone in, those of bought soil left out."""
    most = dig.barrow_rounds - dig.soil_rounds
    if dig.haul_volume <= 0:
        return 0, most
    with quiet():
        out = min(most, loads(dig.haul_volume, barrow_load(kit.barrow, dig.haul_mass / dig.haul_volume)))
    return out, most - out


def barrow_words(dig: DigPlan, kit: Equipment) -> str:
    """``146 rounds of spoil, 81 of stone``."""
    out, back = barrow_rounds(dig, kit)
    many = "1 round" if out == 1 else f"{out} rounds"
    soil = f", {dig.soil_rounds} of bought soil" if dig.soil_rounds else ""
    return f"{many} of spoil, {back} of stone{soil}"


def signed_money(amount: Decimal, currency: str, nothing: str = "as planned") -> str:
    """A difference of money with its sign; ``nothing`` where there is none.

    Examples
    --------
    >>> signed_money(Decimal("-340"), "USD")
    '-$340.00'
    >>> signed_money(Decimal(0), "USD")
    'as planned'
    """
    return nothing if amount == 0 else f"{'+' if amount > 0 else '-'}{money(abs(amount), currency)}"


__all__ = [
    "BASIS_WORDS",
    "SEEDED",
    "asked_guard",
    "barrow_rounds",
    "barrow_words",
    "beside_rule",
    "entry_rule",
    "guard_words",
    "guarded",
    "lengths_rule",
    "money",
    "money_band",
    "round_money",
    "signed_money",
]
