"""Records as jobs have them, drawn at random."""

from __future__ import annotations

from typing import Any

from hypothesis import strategies as st

WORDS = st.sampled_from(["A", "B", "south", "FD1", "2", "a.b", "x]y", 'say "so"', "+", "30 in, measured", "-", "no"])
SCALARS = st.one_of(
    st.none(),
    st.booleans(),
    st.integers(-3, 3),
    st.sampled_from([0.0, 1.0, -2.5, 1e22]),
    WORDS,
    st.text("ab: #'", max_size=4),
)


def _named(inner: st.SearchStrategy[Any]) -> st.SearchStrategy[list[Any]]:
    """Entries that mostly have names of their own, in any order."""
    entry = st.dictionaries(st.sampled_from(["depth", "from", "to", "point"]), inner, max_size=3)
    pair = st.tuples(WORDS, entry).map(lambda two: {"name": two[0], **two[1]})
    own = st.lists(pair, max_size=4, unique_by=lambda one: one["name"])
    return st.one_of(own, own, st.lists(st.one_of(pair, entry), max_size=4))


VALUES = st.recursive(
    SCALARS,
    lambda inner: st.one_of(
        st.dictionaries(WORDS, inner, max_size=3), st.lists(inner, max_size=3), _named(inner), _named(inner)
    ),
    max_leaves=12,
)
RECORDS = st.dictionaries(st.sampled_from(["house", "walls", "notes", "prices", "stone.57"]), VALUES, max_size=4)


@st.composite
def edited(draw: st.DrawFn, record: dict[str, Any]) -> dict[str, Any]:
    """A record after a few changes, most of it left alone."""
    import copy

    made = copy.deepcopy(record)
    for _ in range(draw(st.integers(1, 3))):
        at: Any = made
        while True:
            inner = [one for one in (at.values() if isinstance(at, dict) else at) if isinstance(one, dict | list)]
            if not inner or draw(st.booleans()):
                break
            at = draw(st.sampled_from(inner))
        if isinstance(at, dict):
            key = draw(st.sampled_from([*at, "new"]))
            if key in at and draw(st.integers(0, 3)) == 0:
                del at[key]
            else:
                at[key] = draw(st.one_of(SCALARS, VALUES))
        elif at and (what := draw(st.integers(0, 3))) < 3:
            place = draw(st.integers(0, len(at) - 1))
            if what == 0:
                del at[place]
            elif what == 1:
                at.reverse()
            else:
                at[place] = draw(VALUES)
        else:
            at.insert(draw(st.integers(0, len(at))), {"name": draw(WORDS), "depth": draw(SCALARS)})
    return made
