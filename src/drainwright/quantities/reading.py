"""Read a quantity as people write it, or say what is wrong and what was probably meant."""

from __future__ import annotations

import difflib
import re
import unicodedata
from decimal import Decimal
from fractions import Fraction
from typing import NoReturn

from drainwright.errors import InputError
from drainwright.quantities.units import (
    ABOUT,
    COMPOUND,
    RATIO,
    SIGNED,
    UNITS,
    Kind,
    Unit,
    as_kind,
    find,
    kinds_of,
    tidy,
)

MOST_CHARACTERS = 80  # longer text is refused unread
LARGEST = 1e300  # no number of a document is beyond it
MOST_EXPONENT = 330  # beyond the range of a float; an exact fraction of 1e999999999 would fill memory

# No pattern can match the same characters in two ways, so none can backtrack beyond the text's length.
_DIGITS = r"(?:[0-9][0-9,]*(?:\.[0-9]*)?|\.[0-9]+)(?:[eE][+-]?[0-9]+)?"
_NUMBER = re.compile(_DIGITS)
_OVER = re.compile(r"\s*/\s*([0-9]+)")  # the rest of "1/8"
_AND = re.compile(r"(?:-|\s+)([0-9]+)\s*/\s*([0-9]+)")  # the rest of "5 1/2" or "5-1/2"
_UNIT = re.compile(r"(?:[^0-9+\-.,:]|\.(?![0-9])|(?<=[A-Za-z^])[23](?![0-9A-Za-z.]))+")
_JOINT = re.compile(r"(?<!\s)-\s*|-\s+|")  # the dash of 42'-6" or 42' - 6", never the minus of "42 ft -6 in"
_RATIO = re.compile(rf"({_DIGITS})\s*(:|in(?=\s))\s*({_DIGITS})")
_THOUSANDS = re.compile(r"[0-9]{1,3}(?:,[0-9]{3})+(?![0-9,])")
_MONEY = re.compile(rf"\$\s*({_DIGITS})(?:\s*USD)?|({_DIGITS})\s*(?:USD|\$|dollars?)", re.IGNORECASE)
_GROUPED = re.compile(
    r"[0-9]{1,3}(?:,[0-9]{3})+\.[0-9]+|[0-9]{1,3}(?:,[0-9]{3}){2,}"
)  # commas that can only be thousands
_WITH_POINTS = re.compile(r"[0-9]{1,3}(?:[. ][0-9]{3})+,[0-9]+")  # 1.064,00
_SIGN = r"(?:[A-Za-z]{2,3}\.?|[€£¥₹₽₺₩₪₴]|euros?|pounds?|dollars?)"
_SIGNED_AMOUNT = re.compile(rf"(?:{_SIGN}\s*([0-9][0-9.,]*)|([0-9][0-9.,]*)\s*{_SIGN})")
_MARKS = str.maketrans(
    {"′": "'", "’": "'", "‘": "'", "″": '"', "”": '"', "“": '"', "−": "-", "–": "-", "º": "°", "⁄": "/"}
)


class QuantityError(InputError):
    """A text is not the quantity wanted; the three parts fit a problem in a job document."""

    def __init__(self, found: str, expected: str, hint: str = "") -> None:
        self.found = found
        self.expected = expected
        self.hint = hint
        super().__init__(f"found {found}; expected {expected}" + (f". {hint}" if hint else ""))


class _Reader:
    """The text being read, for errors that show all of it."""

    def __init__(self, value: object, kind: Kind) -> None:
        self.value = value
        self.kind = kind

    def refuse(self, hint: str, note: str = "") -> NoReturn:
        shown = _shown(self.value)
        about = ABOUT[self.kind]
        raise QuantityError(shown + (f" ({note})" if note else ""), f"{about.phrase}, like {about.example}", hint)

    def bare(self, number: str) -> NoReturn:
        choices = [f"'{number} {unit}'" for unit in ABOUT[self.kind].usual]
        rest = f" (or {' or '.join(choices[1:])})" if choices[1:] else ""
        self.refuse(f"write {choices[0]}{rest}", "a number without a unit")

    def number(self, text: str) -> Fraction:
        """Read plain digits exactly, with thousands commas and an exponent."""
        mantissa, _, exponent = text.lower().partition("e")
        if "," in mantissa:
            if not _THOUSANDS.match(mantissa):
                self.refuse(f"write {text.replace(',', '.', 1)} with a point, or commas every three digits")
            mantissa = mantissa.replace(",", "")
        if len(exponent) > 4 or abs(int(exponent or "0")) > MOST_EXPONENT:
            self.refuse("the number is outside what can be computed with", "not a finite number")
        return Fraction(f"{mantissa}e{exponent or '0'}")

    def over(self, numerator: str, denominator: str) -> Fraction:
        if not numerator.isdecimal():
            self.refuse(f"write the fraction with whole numbers, not {numerator}/{denominator}")
        if int(denominator) == 0:
            self.refuse("a fraction cannot have zero below the line", "division by zero")
        return Fraction(int(numerator), int(denominator))

    def magnitude(self, text: str, at: int) -> tuple[Fraction, int]:
        """Read ``5``, ``5.5``, ``1/8`` or ``5 1/2`` from ``at``; give it and where it ends."""
        match = _NUMBER.match(text, at)
        if not match:
            self.refuse("start with a number" if at == 0 else "use digits, one point and a unit")
        end = match.end()
        if mixed := _AND.match(text, end):
            whole, part = self.number(match[0]), self.over(mixed[1], mixed[2])
            if whole.denominator != 1 or "." in match[0] or part >= 1:
                self.refuse("before a fraction stands a whole number, and the fraction is below one")
            return whole + part, mixed.end()
        if fraction := _OVER.match(text, end):
            return self.over(match[0], fraction[1]), fraction.end()
        if text[end : end + 1] in {".", ","}:
            self.refuse("a number has one decimal point", "two decimal points")
        return self.number(match[0]), end

    def unknown(self, name: str, number: str) -> NoReturn:
        """Refuse a unit: of another kind, misspelt, or not known at all."""
        about = ABOUT[self.kind]
        if others := " or ".join(ABOUT[kind].phrase for kind in kinds_of(name)):
            self.refuse(f"'{name}' measures {others}; {about.phrase} is wanted", others)
        near = _nearest(self.kind, name)
        hint = f"did you mean '{number} {near}'?" if near else f"use one of: {', '.join(about.usual)}"
        self.refuse(hint, f"unknown unit '{name[:20]}'")

    def parts(self, text: str, sign: int) -> Fraction:
        """Read all parts of ``42 ft 6 in``: each whole and of a smaller unit, but the last any number."""
        total, at = Fraction(0), 0
        last: Unit | None = None
        value = Fraction(0)
        while at < len(text):
            start = at
            previous = value
            value, at = self.magnitude(text, start)
            shown = text[start:at]
            match = _UNIT.match(text, at)
            if not match or not match[0].strip():
                self.after_number(text, shown, value, at, last)
                return sign * value
            name = tidy(match[0])
            unit = find(self.kind, name)
            if unit is None:
                self.unknown(name, shown)
            if last:
                if self.kind not in COMPOUND or unit.factor >= last.factor:
                    self.refuse("write one number and one unit, or smaller units after larger ones")
                if previous.denominator != 1:
                    self.refuse("only the last part may have a decimal or a fraction")
                if value * unit.factor >= last.factor:
                    self.refuse("carry the smaller part into the larger one, as 3 ft 14 in is 4 ft 2 in")
            last = unit
            total += (sign * value + unit.offset) * unit.factor
            joint = _JOINT.match(text, match.end())
            at = joint.end() if joint else match.end()
            if at == len(text) and text.endswith("-"):
                self.refuse("nothing follows the last dash")
        return total

    def after_number(self, text: str, shown: str, value: Fraction, at: int, last: Unit | None) -> None:
        """Refuse a number that no unit follows, unless it may stand alone."""
        if text[at:].strip():
            self.refuse("write one number and its unit", f"cannot read from '{text[at:].strip()[:12]}'")
        if last:
            self.refuse(f"give the unit of the last number, {shown}", "a number without a unit")
        if self.kind is not Kind.FRACTION or value > 1:
            self.bare(shown)


def _shown(value: object) -> str:
    """Show what was found, whatever it is, in a few characters."""
    if isinstance(value, str):
        return repr(value) if len(value) <= 48 else repr(f"{value[:45]}...")
    if value is None or isinstance(value, bool | float):
        return repr(value)
    if isinstance(value, int):
        return repr(value) if -LARGEST < value < LARGEST and len(str(value)) <= 48 else "a very large number"
    return f"a {type(value).__name__}"


def _nearest(kind: Kind, name: str) -> str:
    """Give the spelling of ``kind`` nearest to a misspelt one, or nothing."""
    above, slash, below = name.rpartition("/")
    if slash and kind in RATIO:
        first, second = RATIO[kind]
        top = above if find(first, above) else _nearest(first, above)
        bottom = below if find(second, below) else _nearest(second, below)
        return f"{top}/{bottom}" if top and bottom else ""
    near = difflib.get_close_matches(name, UNITS[kind], n=1, cutoff=0.6)
    if not near:
        near = difflib.get_close_matches(name.lower(), UNITS[kind], n=1, cutoff=0.6)
    return near[0] if near else ""


def _plain(text: str) -> str:
    """Spell out vulgar fractions and typographic marks: ``5½″`` is ``5 1/2"``."""
    letters: list[str] = []
    for letter in text:
        if unicodedata.category(letter) == "No" and "⁄" in (spelt := unicodedata.normalize("NFKC", letter)):
            letters.append((" " if letters and letters[-1][-1].isdecimal() else "") + spelt)
        else:
            letters.append(letter)
    return "".join(letters).translate(_MARKS).replace("''", '"').strip()


def parse(text: object, kind: Kind | str) -> float:
    """Read a quantity with its unit, and give it in the unit used inside.

    Parameters
    ----------
    text : object
        What stands in the document: ``42 ft 6 in``, ``1/8 in/ft``, ``45 gpm``, ``1:100``. A number
        without a unit is refused, but for a fraction from 0 to 1.
    kind : Kind | str
        What is wanted there.

    Returns
    -------
    float
        The float nearest to the value written. [the unit beside the kind in ``Kind``]

    Raises
    ------
    QuantityError
        If the text is not such a quantity; tells what was found, expected and probably meant.

    Notes
    -----
    ``1:100`` is rise to run, so ``2:1`` is refused: side slopes are often written run to rise. A ton
    is the US short ton, a year 365.25 days, a gallon the US gallon, hp the mechanical horsepower.

    Examples
    --------
    >>> parse("42 ft 6 in", Kind.LENGTH)
    12.954
    """
    kind = as_kind(kind)
    reader = _Reader(text, kind)
    if isinstance(text, int | float) and not isinstance(text, bool):
        if kind is Kind.FRACTION and 0 <= text <= 1:
            return float(text)
        if not -LARGEST < text < LARGEST:
            reader.refuse("write a number and its unit", "not a finite number")
        reader.bare(f"{text}")
    if not isinstance(text, str):
        reader.refuse("write a number and its unit", "not a text")
    if len(text) > MOST_CHARACTERS:
        reader.refuse(f"a quantity has at most {MOST_CHARACTERS} characters", "too long")
    plain = _plain(text)
    negative = plain.startswith("-")
    plain = plain[1:].lstrip() if plain[:1] in {"-", "+"} else plain
    if not plain:
        reader.refuse("write a number and its unit", "nothing to read")
    ratio = _RATIO.fullmatch(plain) if kind is Kind.GRADE else None
    if ratio:
        rise, run = reader.number(ratio[1]), reader.number(ratio[3])
        if ratio[2] != ":":
            reader.refuse(f"write '{ratio[1]}:{ratio[3]}'")
        if run == 0 or rise > run:
            reader.refuse("a grade is rise to run, as 1:100; write a steeper one in %")
        value = rise / run
        value = -value if negative else value
    else:
        value = reader.parts(plain, -1 if negative else 1)
    if negative and value and kind not in SIGNED:
        reader.refuse(f"{ABOUT[kind].phrase} is never below zero; leave out the minus sign", "negative")
    try:
        return float(value)
    except OverflowError:
        reader.refuse("the number is outside what can be computed with", "not a finite number")


def parse_money(text: object) -> Decimal:
    """Read an amount of US dollars exactly: ``$12.50``, ``1,250 USD``; at most four decimals.

    Raises
    ------
    QuantityError
        If the text is not such an amount, or is negative.
    """
    expected = "an amount of money, like '$12.50' or '12.50 USD'"
    shown = _shown(text)
    if isinstance(text, int | float) and not isinstance(text, bool):
        raise QuantityError(f"{shown} (a number without a currency)", expected, f"write '${shown}'")
    if not isinstance(text, str) or len(text) > MOST_CHARACTERS:
        raise QuantityError(shown, expected, "write a dollar sign and a number")
    if _NUMBER.fullmatch(text.strip()):
        raise QuantityError(f"{shown} (a number without a currency)", expected, f"write '${text.strip()}'")
    match = _MONEY.fullmatch(text.strip())
    digits = (match[1] or match[2]) if match else ""
    if not digits or "e" in digits.lower():
        raise QuantityError(shown, expected, "write a dollar sign and a number")
    if "," in digits and not _THOUSANDS.match(digits):
        raise QuantityError(shown, expected, "write the cents after a point, and commas every three digits")
    amount = Decimal(digits.replace(",", ""))
    if len(digits.partition(".")[2]) > 4:
        raise QuantityError(shown, expected, "give at most four decimals")
    return amount


def parse_amount(text: str) -> str:
    """Read an amount in the money of its document: plain digits, a point, and commas that can only be thousands.

    Parameters
    ----------
    text : str
        ``1064.00`` or ``1,064.00``; ``1,064`` may be either of two amounts, and is refused.

    Returns
    -------
    str
        The amount without its commas; text that is none is handed back as it is, for its reader to refuse.

    Raises
    ------
    QuantityError
        If a currency stands with it, or a comma for a point; the hint has the amount as it should be written.
    """
    expected = "an amount such as 12.50 or '$12.50'"
    plain = text.strip()
    if len(plain) > MOST_CHARACTERS:
        return text
    if _GROUPED.fullmatch(plain):
        return plain.replace(",", "")
    match = _SIGNED_AMOUNT.fullmatch(plain)
    digits = (match[1] or match[2]) if match else plain
    written = _pointed(digits)
    if match and written:
        hint = f"write {written}, without its currency: that stands once, as 'currency' of the price book"
        raise QuantityError(_shown(text), expected, hint)
    if written and written != digits:
        either = _THOUSANDS.fullmatch(digits)
        hint = f"write {digits.replace(',', '')} or {written}" if either else f"write {written}"
        raise QuantityError(_shown(text), expected, hint)
    return text


def _pointed(digits: str) -> str:
    """Digits with one point: ``64,50`` as ``64.50``, ``1.064,00`` as ``1064.00``; nothing where there is no telling."""
    if _GROUPED.fullmatch(digits):
        return digits.replace(",", "")
    if _WITH_POINTS.fullmatch(digits):
        return re.sub("[. ]", "", digits).replace(",", ".")
    return digits.replace(",", ".") if re.fullmatch(r"[0-9]+(?:[.,][0-9]+)?", digits) else ""
