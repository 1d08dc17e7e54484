"""What somebody types into a field of a calculator, as a quantity of that field's unit."""

from __future__ import annotations

from benchlore import typed as grammar
from benchlore.circuit.inputs import UNIT_EXAMPLES, InputError
from benchlore.quantity import Quantity


def typed(field: str, text: str, unit: str) -> Quantity:
    """The quantity of a field in `unit` (V, A or ohm): `2.2 kohm 5%`, `2k2`, `3,42`, `6 to 8.4 V`.

    The unit may be left out, or all of it but the prefix. Raises InputError with the reason.
    """
    try:
        found = grammar.typed(text, unit)
    except grammar.TypedError as error:
        mend = error.mend if error.choices else f"write {UNIT_EXAMPLES[unit]}"
        raise InputError(field, f"{error.reason}; {mend}") from error
    if found.current == "ac":
        raise InputError(field, f"AC does not fit; write {UNIT_EXAMPLES[unit]}, as read in DC")
    return Quantity(grammar.clean(text), unit, found.low, found.high, found.nominal)
