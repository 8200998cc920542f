"""How commands end: one line per fault, one JSON document, the right exit code."""

from __future__ import annotations

import json

import pytest
import typer

from scheduler.cli.ends import told
from scheduler.cli.terminal import say_faults
from scheduler.domain.faults import Fault, Severity, Source
from scheduler.exceptions import BadInput, BrokenPlan, NoPlan


def fault(file: str, cell: str, found: str, severity: Severity = Severity.FAULT) -> Fault:
    return Fault(
        code="quantity",
        source=Source(file=file, sheet="Orders", cell=cell),
        found=found,
        expected="a whole number",
        mend="Write 12.",
        severity=severity,
    )


FINDINGS = (
    fault("orders.xlsx", "F14", 'quantity "12 pcs"'),
    fault("more.csv", "B2", 'quantity "-3"'),
    fault("orders.xlsx", "C2", 'customer\n"Łódź"', Severity.DOUBT),
    fault("orders.xlsx", "F15", 'quantity "many"'),
)


def ended(error: BaseException, *, as_json: bool) -> int:
    with pytest.raises(typer.Exit) as caught, told(as_json=as_json, nothing="Nothing was planned."):
        raise error
    return caught.value.exit_code


def test_faults_come_all_at_once_grouped_by_file(capsys: pytest.CaptureFixture[str]) -> None:
    assert ended(BadInput(FINDINGS), as_json=False) == 1
    captured = capsys.readouterr()
    assert captured.err == ""
    assert [line for line in captured.out.splitlines() if line] == [
        "3 faults:",
        '  orders.xlsx, Orders!F14: quantity "12 pcs"; expected a whole number. Write 12.',
        '  orders.xlsx, Orders!F15: quantity "many"; expected a whole number. Write 12.',
        '  more.csv, Orders!B2: quantity "-3"; expected a whole number. Write 12.',
        "1 doubt (would be taken as said):",
        '  orders.xlsx, Orders!C2: customer "Łódź"; expected a whole number. Write 12.',
        "Nothing was planned.",
    ]


def test_with_json_only_one_document_is_on_standard_output(capsys: pytest.CaptureFixture[str]) -> None:
    assert ended(BadInput(FINDINGS), as_json=True) == 1
    captured = capsys.readouterr()
    document = json.loads(captured.out)
    assert [entry["cell"] for entry in document["faults"]] == ["F14", "B2", "F15"]
    assert [entry["cell"] for entry in document["doubts"]] == ["C2"]
    assert document["faults"][1] == {
        "code": "quantity",
        "severity": "fault",
        "file": "more.csv",
        "sheet": "Orders",
        "cell": "B2",
        "found": 'quantity "-3"',
        "expected": "a whole number",
        "mend": "Write 12.",
        "text": 'more.csv, Orders!B2: quantity "-3"; expected a whole number. Write 12.',
    }
    assert "F14" in captured.err


@pytest.mark.parametrize(
    ("error", "words"),
    [
        (NoPlan("No plan was found in 1 s."), "No plan was found in 1 s."),
        (BrokenPlan("press A holds two runs"), "This is a defect of Pressday, not of your files"),
        (KeyboardInterrupt(), "Stopped; nothing was written."),
    ],
)
def test_no_plan_is_exit_code_three(
    error: BaseException, words: str, capsys: pytest.CaptureFixture[str]
) -> None:
    assert ended(error, as_json=False) == 3
    captured = capsys.readouterr()
    assert words in captured.err
    assert captured.out == ""
    assert ended(error, as_json=True) == 3
    document = json.loads(capsys.readouterr().out)
    assert words in document["no_plan"]
    assert document["faults"] == []


def test_a_command_that_ends_well_is_left_alone(capsys: pytest.CaptureFixture[str]) -> None:
    with told(as_json=True, nothing=""):
        pass
    assert capsys.readouterr().out == ""


def test_faults_without_a_cell_are_counted_and_not_listed(capsys: pytest.CaptureFixture[str]) -> None:
    faults = [
        Fault(code="x", source=Source(file="--at"), found=f"entry {n}", expected="e", mend="m.")
        for n in range(10)
    ]
    say_faults([*faults, faults[0]], to_error=False)
    said = capsys.readouterr().out
    assert "... and 7 more of this kind\n" in said and ", ," not in said and "The same in" not in said
