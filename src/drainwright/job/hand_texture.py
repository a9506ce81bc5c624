"""The texture of a soil by feel: a squeezed ball, a pressed ribbon, a wetted pinch (Thien 1979, as USDA teaches it)."""

from __future__ import annotations

from typing import Literal

Feel = Literal["gritty", "smooth", "neither"]

SHORT_RIBBON = 0.0254  # shorter: loams [m]
LONG_RIBBON = 0.0508  # longer: clays; between: clay loams [m]
_BY_RIBBON: dict[Feel, tuple[str, str, str]] = {
    "gritty": ("sandy loam", "sandy clay loam", "sandy clay"),
    "smooth": ("silt loam", "silty clay loam", "silty clay"),
    "neither": ("loam", "clay loam", "clay"),
}


def texture_by_hand(ball: bool, ribbon: float, feel: Feel) -> str:
    """Texture class by feel.

    Parameters
    ----------
    ball : bool
        Whether a squeezed moist handful holds together.
    ribbon : float
        Length at which a ribbon pressed between thumb and finger breaks; 0 where none forms. [m]
    feel : {"gritty", "smooth", "neither"}
        Of a small pinch, wetted well and rubbed in the palm.

    Returns
    -------
    str
        One of the USDA classes; the key does not tell silt from silt loam.

    Examples
    --------
    >>> texture_by_hand(True, 0.04, "gritty")
    'sandy clay loam'
    """
    if not ball:
        return "sand"
    if ribbon <= 0.0:
        return "loamy sand"
    return _BY_RIBBON[feel][(ribbon >= SHORT_RIBBON) + (ribbon > LONG_RIBBON)]


__all__ = ["LONG_RIBBON", "SHORT_RIBBON", "Feel", "texture_by_hand"]
