"""The colour of a firm's papers: dark enough to be read on white."""

from __future__ import annotations

import re

from drainwright.sources import cite

PLAIN_ACCENT = "#0e3f5f"
LEAST_CONTRAST = 4.5  # text on its ground, success criterion 1.4.3 (key: wcag22)
_FORM = re.compile(r"#[0-9a-fA-F]{6}")


def luminance(colour: str) -> float:
    """Relative luminance of a colour ``#rrggbb``: 0.2126 R + 0.7152 G + 0.0722 B of linear values, 0 to 1.

    References
    ----------
    Web Content Accessibility Guidelines 2.2, "relative luminance" (key: wcag22).
    """
    parts = (int(colour[start : start + 2], 16) / 255 for start in (1, 3, 5))
    red, green, blue = (
        part / 12.92 if part <= 0.04045 else ((part + 0.055) / 1.055) ** 2.4 for part in parts
    )  # fmt: skip
    return 0.2126 * red + 0.7152 * green + 0.0722 * blue


def contrast_on_white(colour: str) -> float:
    """Contrast ratio of a colour ``#rrggbb`` on white: 1.05 / (L + 0.05), 1 to 21.

    References
    ----------
    Web Content Accessibility Guidelines 2.2, "contrast ratio" (key: wcag22).
    """
    return 1.05 / (luminance(colour) + 0.05)


def darkened(colour: str) -> str:
    """The lightest colour of the same hue, scaled down in steps of a hundredth, that is dark enough on white."""
    parts = [int(colour[start : start + 2], 16) for start in (1, 3, 5)]
    for share in range(100, -1, -1):
        tried = "#" + "".join(f"{part * share // 100:02x}" for part in parts)
        if contrast_on_white(tried) >= LEAST_CONTRAST:
            return tried
    return "#000000"


def dark_enough(value: object) -> object:
    """Refuse a colour that could not be read on white, and say which of its hue could."""
    if not isinstance(value, str) or not _FORM.fullmatch(value):
        raise ValueError(f"found {str(value)[:40]!r}: expected a colour such as '{PLAIN_ACCENT}', in quotes")
    contrast = contrast_on_white(value)
    if contrast < LEAST_CONTRAST:
        rule = cite("wcag22")
        raise ValueError(
            f"found {value!r} with a contrast of {contrast:.2f} on white: expected {LEAST_CONTRAST} or more, such as "
            f"{darkened(value)!r} of the same hue ({rule})"
        )
    return value.lower()


__all__ = ["LEAST_CONTRAST", "PLAIN_ACCENT", "contrast_on_white", "dark_enough", "darkened", "luminance"]
