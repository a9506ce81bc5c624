"""What to have at hand should a line be nicked, and which lines no crew ever repairs.

Common practice, no source. Local codes and a line's owner come first: in many places only a licensed plumber may
join a water service.
"""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from drainwright.job.site import Utility, UtilityKind


@dataclass(frozen=True, slots=True, kw_only=True)
class RepairRule:
    """What a crew does about one kind of line that it has nicked."""

    repairs: bool  # whether a crew may mend it, where the place allows
    kit: tuple[str, ...]  # "{size}" and "{material}" stand for the line's own
    stop: str  # first thing to do
    call: str  # whom


_NEVER = ()
RULES: Mapping[UtilityKind, RepairRule] = MappingProxyType({
    "water": RepairRule(
        repairs=True,
        kit=("two repair couplings {size} for {material}", "1 m of that pipe", "cutter, reamer and primer",
             "hand pump", "chlorine for the fittings; flush before anyone drinks"),
        stop="shut off",
        call="the owner; a licensed plumber where the code wants one; before the meter the water company",
    ),
    "irrigation": RepairRule(
        repairs=True, kit=("two couplings {size} for {material}", "1 m of that pipe", "cutter, primer and cement"),
        stop="shut off", call="the owner",
    ),
    "irrigation control": RepairRule(
        repairs=True, kit=("waterproof connectors, one for each wire", "3 m of direct-burial wire", "stripper, tags"),
        stop="controller off", call="the owner",
    ),
    "low voltage lighting": RepairRule(
        repairs=True, kit=("waterproof connectors", "3 m of direct-burial cable", "stripper"),
        stop="transformer unplugged", call="the owner",
    ),
    "storm drain": RepairRule(
        repairs=True, kit=("two flexible couplings {size}", "1 m of pipe", "saw"), stop="stop the water",
        call="the owner",
    ),
    "sewer": RepairRule(
        repairs=False, kit=_NEVER, stop="nobody in the house lets water go; hands off what leaks",
        call="a licensed plumber, and the owner",
    ),
    "septic": RepairRule(
        repairs=False, kit=_NEVER, stop="nobody in the house lets water go; hands off what leaks",
        call="a septic contractor, and the health department where it asks",
    ),
    "pool": RepairRule(repairs=False, kit=_NEVER, stop="pool pump and its power off", call="the pool's contractor"),
    "reclaimed": RepairRule(
        repairs=False, kit=_NEVER, stop="shut off; nobody drinks it or gets it in the face", call="the water company",
    ),
    "communication": RepairRule(repairs=False, kit=_NEVER, stop="stay off it", call="its company"),
    "electric": RepairRule(
        repairs=False, kit=_NEVER, stop="everyone away; touch nothing", call="emergency number, then the power company",
    ),
    "gas": RepairRule(
        repairs=False, kit=_NEVER, stop="everyone away upwind; no flame, no switch, no valve",
        call="emergency number, then the gas company",
    ),
    "propane": RepairRule(
        repairs=False, kit=_NEVER, stop="everyone away upwind; no flame, no switch, no valve",
        call="emergency number, then the gas supplier",
    ),
    "oil": RepairRule(repairs=False, kit=_NEVER, stop="everyone away; no flame",
                      call="the fire department, the supplier"),
})  # fmt: skip


def repair_kit(line: Utility, size: str, *, metric: bool) -> tuple[str, ...]:
    """What to have at hand for a line, in its size and material; nothing where no crew repairs it.

    Parameters
    ----------
    line : Utility
        The line.
    size : str
        Its diameter in words.
    metric : bool
        Whether lengths are told in metres.

    Returns
    -------
    tuple of str
        Where nobody wrote down the material, couplings for each that is usual: found out when it is exposed.
    """
    material = line.material or "copper, PE and PVC (material not known: look when exposed)"
    texts = (item.format(size=size, material=material) for item in RULES[line.kind].kit)
    return tuple(
        texts if metric else (text.replace("1 m of", "3 ft of").replace("3 m of", "10 ft of") for text in texts)
    )


__all__ = ["RULES", "RepairRule", "repair_kit"]
