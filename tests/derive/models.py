"""Models of any craft, by the model's own schema: what a dump could say, wise or not."""

from __future__ import annotations

import json
from collections.abc import Mapping
from importlib import resources
from typing import Any

from hypothesis import strategies as st

from cfgaudit.model.schema import referred

SCHEMA: dict[str, Any] = json.loads(
    resources.files("cfgaudit.model").joinpath("model.schema.json").read_text("utf-8")
)
_MOST = 6  # things by names of their own
# Names that matter to more than one part of a model: only then do the parts speak of the same thing.
_KEYS = {
    "ports": ["USB", "UART1", "UART2", "UART3", "UART4", "UART6", "LPUART1", "PORT0", "PORT3", "SOFT1"],
    "outputs": ["1", "2", "3", "4", "5", "6", "7"],
    "mixer": ["1", "2", "3", "4", "5", "6", "7", "8"],
    "modes": ["arm", "self_level", "beeper"],
    "pins": ["uart1_tx", "uart1_rx", "uart4_tx", "uart4_rx", "lpuart1_tx", "usb_plus", "beeper"],
}


def models() -> st.SearchStrategy[dict[str, Any]]:
    """Any model, with any of its parts left out."""
    return st.fixed_dictionaries(
        {}, optional={key: _section(key, part) for key, part in SCHEMA["properties"].items()}
    )


def _section(name: str, part: Mapping[str, Any]) -> st.SearchStrategy[Any]:
    if name in _KEYS:
        return st.dictionaries(
            st.sampled_from(_KEYS[name]), _value(part["additionalProperties"]), max_size=_MOST
        )
    return _value(part)


def _value(part: Mapping[str, Any]) -> st.SearchStrategy[Any]:
    part = referred(part, SCHEMA)
    if "enum" in part:
        return st.sampled_from(part["enum"])
    types = part["type"] if isinstance(part["type"], list) else [part["type"]]
    return st.one_of([_of_type(one, part) for one in types])


def _of_type(kind: str, part: Mapping[str, Any]) -> st.SearchStrategy[Any]:
    low, high = part.get("minimum"), part.get("maximum")
    match kind:
        case "boolean":
            return st.booleans()
        case "integer":
            return st.integers(-10 if low is None else int(low), 10**9 if high is None else int(high))
        case "number":
            usual = st.integers(
                -10 if low is None else int(low), 10_000 if high is None else min(10_000, int(high))
            )
            return usual | st.floats(low, 10_000 if high is None else high, allow_nan=False)
        case "string":
            shaped = (
                st.from_regex(part["pattern"], fullmatch=True) if "pattern" in part else st.text(max_size=9)
            )
            return st.sampled_from([one for one in part["examples"] if isinstance(one, str)] or [""]) | shaped
        case "array":
            return st.lists(_value(part["items"]), max_size=4) if "items" in part else st.just([])
        case _:
            return _object(part)


def _object(part: Mapping[str, Any]) -> st.SearchStrategy[Any]:
    fixed = {key: _value(inner) for key, inner in part.get("properties", {}).items()}
    free = part.get("additionalProperties")
    if not isinstance(free, Mapping):
        return st.fixed_dictionaries({}, optional=fixed)
    names = referred(part["propertyNames"], SCHEMA)
    keys = (
        st.sampled_from(names["enum"])
        if "enum" in names
        else st.from_regex(names["pattern"], fullmatch=True).filter(lambda key: key not in fixed)
    )
    return st.dictionaries(keys, _value(free), max_size=_MOST)
