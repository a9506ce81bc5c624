"""A word that stands where a quantity would: an answer of its own, not a key left empty."""

from __future__ import annotations

from typing import Any

from pydantic import SerializerFunctionWrapHandler, ValidatorFunctionWrapHandler, WrapSerializer, WrapValidator


class _Published:
    """In the published schema: the word in place of nothing."""

    def __init__(self, word: str) -> None:
        self.word = word

    def __get_pydantic_json_schema__(self, schema: Any, handler: Any) -> dict[str, Any]:
        described: dict[str, Any] = handler(schema)
        ways = [way for way in described.pop("anyOf") if way != {"type": "null"}]
        return {**described, "anyOf": [*ways, {"const": self.word, "type": "string"}]}


def or_word(word: str, otherwise: str) -> tuple[Any, ...]:
    """Marks for a key that may be None: written as the word, read from it alone.

    Parameters
    ----------
    word : str
        What stands in the document for None.
    otherwise : str
        What else is expected, with an example.

    Returns
    -------
    tuple
        For ``Annotated[Some | None, *or_word(...)]``.
    """

    def read(value: object, go_on: ValidatorFunctionWrapHandler) -> object:
        if isinstance(value, str) and value.strip().lower() == word:
            return None
        if value is None:
            raise ValueError(f"found nothing: expected {otherwise}, or '{word}'")
        return go_on(value)

    def write(value: object, go_on: SerializerFunctionWrapHandler) -> object:
        return word if value is None else go_on(value)

    return WrapValidator(read), WrapSerializer(write), _Published(word)


__all__ = ["or_word"]
