"""What is proposed for a cell: only what is right when it is followed."""

from __future__ import annotations

import pytest

from scheduler.intake.cells.findings import propose
from scheduler.intake.cells.known import Known
from scheduler.intake.cells.quantities import pieces
from scheduler.intake.cells.values import Unfit, number, whole

PLACES = ["left chest", "right chest", "full front", "full back", "left sleeve", "right sleeve", "left leg"]
FABRICS = ["cotton", "cotton-polyester blend", "polyester", "nylon"]


@pytest.mark.parametrize(
    ("written", "alone"),
    [("12 pcs", "12"), ("2x", "2"), ("6 (rush)", "6"), ("2 doz", "24"), ("1 gross", "144"), ("1O", "10"),
     ("2+1", ""), ("1;2", ""), ("1e1", ""), ("0x10", ""), ("1 gr", ""), ("3 boxes", "")],
)  # fmt: skip
def test_pieces(written: str, alone: str) -> None:
    with pytest.raises(Unfit) as refused:
        pieces(written)
    assert refused.value.mend == (
        f"Write the number alone: {alone}." if alone else "Write a whole number, without other signs."
    )


@pytest.mark.parametrize(
    ("written", "unit", "alone"),
    [("2kW", "W", "2000"), ("1600 W", "W", "1600"), ("20 in", "mm", "508"), ("40 cm", "mm", "400"),
     ("380mm", "mm", "380"), ("210 °C", "°C", "210"), ("3 phases", "W", "")],
)  # fmt: skip
def test_figures_with_a_unit(written: str, unit: str, alone: str) -> None:
    for parse in (whole(0, 9000, unit), number(0, 9000, unit)):
        with pytest.raises(Unfit) as refused:
            parse(written)
        assert (f"alone: {alone}." in refused.value.mend) if alone else ("alone" not in refused.value.mend)


@pytest.mark.parametrize(
    ("written", "names", "meant"),
    [
        ("left chst", PLACES, ['"left chest"?']),
        ("left chest (heart side)", PLACES, ['"left chest"?']),
        ("front and back", PLACES, ['"full front" or "full back"?']),
        ("2x sleeve", PLACES, ['"left sleeve" or "right sleeve"?']),
        ("Sleeves", PLACES, ['"left sleeve" or "right sleeve"?']),
        ("wearers left", PLACES, ['"left chest", "left sleeve" or "left leg"?']),
        ("poly", FABRICS, ['"cotton-polyester blend" or "polyester"?']),
        ("organic cotton", FABRICS, ['"cotton"?']),
    ],
)
def test_names(written: str, names: list[str], meant: list[str]) -> None:
    assert f"Did you mean {meant[0]}" in propose(written, names, "X")


def test_where_a_sheet_has_no_names_it_may_not_be_there() -> None:
    """Sheets that a shop can do without can be left out."""
    none, some = Known("courier", "Couriers"), Known("courier", "Couriers", ["Van", "Bicycle"])
    assert none._mend("Train") == (
        'Add "Train" to sheet Couriers; if the shop workbook has none, add that sheet: '
        "a new shop folder shows how it looks."
    )
    assert "add that sheet" not in some._mend("Train") and '"Van"' in some._mend("van 2")
