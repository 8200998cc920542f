"""Text tables as they come: encodings, delimiters, decimal signs; what is judged is said."""

from __future__ import annotations

import codecs
from pathlib import Path

import pytest

from scheduler.intake.files.grid import Book, TextForm
from scheduler.intake.files.reader import open_book
from tests.intake.books import codes

HEAD = "Order;Customer;Artwork;Width mm;Notes\n"
WESTERN = "1;Jörg Müßig, Çelik;Größe;80,5;für Übung\n2;José Núñez;café;70,5;à côté\n"
POLISH = "1;Łukasz Wójcik;żółw;80,5;gęś\n2;Świętosława Źdźbło;łąka;70,5;ćma\n"
RUSSIAN = "1;Иван Петров;звезда;80,5;срочно\n2;Мария Сидорова;роза;70,5;до обеда\n"


def opened(folder: Path, data: bytes, form: TextForm | None = None) -> Book:
    (folder / "orders.csv").write_bytes(data)
    return open_book(folder / "orders.csv", text_form=form)


@pytest.mark.parametrize(
    ("text", "encoding", "mark", "read_as"),
    [
        (WESTERN, "utf-8", b"", "utf-8"),
        (POLISH, "utf-8", codecs.BOM_UTF8, "utf-8-sig"),
        (RUSSIAN, "utf-16-le", codecs.BOM_UTF16_LE, "utf-16"),
        (POLISH, "utf-16-be", codecs.BOM_UTF16_BE, "utf-16"),
        (WESTERN, "utf-16-le", b"", "utf-16-le"),
        (WESTERN, "utf-16-be", b"", "utf-16-be"),
        (POLISH, "utf-32-le", codecs.BOM_UTF32_LE, "utf-32"),
    ],
)
def test_letters_that_are_certain(
    tmp_path: Path, text: str, encoding: str, mark: bytes, read_as: str
) -> None:
    book = opened(tmp_path, mark + (HEAD + text).encode(encoding))
    assert book.doubts == ()
    assert book.text_form == TextForm(encoding=read_as, delimiter=";", decimal=",")
    assert book.grids[0].rows[1] == tuple(text.split("\n")[0].split(";"))


@pytest.mark.parametrize(
    ("text", "encoding"),
    [
        (WESTERN, "cp1252"), (WESTERN, "latin-1"), (POLISH, "cp1250"), (POLISH, "iso8859-2"),
        (RUSSIAN, "cp1251"), (WESTERN, "cp850"), (WESTERN, "mac-roman"),
    ],
)  # fmt: skip
def test_letters_that_are_judged_are_said_with_their_line_and_can_be_told(
    tmp_path: Path, text: str, encoding: str
) -> None:
    data = (HEAD + text).encode(encoding)
    book = opened(tmp_path, data)
    (doubt,) = book.doubts
    assert doubt.code == "letters-judged"
    assert doubt.source.cell == "B2"
    # the owner sees the line as read, and the right reading among it and the others
    line = text.split("\n")[0]
    assert book.text_form is not None
    assert line in (data.splitlines()[1].decode(book.text_form.encoding), *doubt.mend.split('"'))
    told = opened(tmp_path, data, TextForm(encoding=encoding))
    assert told.doubts == ()
    assert told.grids[0].rows[1] == tuple(line.split(";"))


@pytest.mark.parametrize(
    ("text", "delimiter"),
    [
        ("a,b,c\n1,2,3\n", ","),
        ("a;b;c\n1,5;2,5;3,5\n1,5;2,5;3,5\n", ";"),
        ("a\tb\tc\nx, y\tz, w\t3\n", "\t"),
        ("a|b|c\nx;y|z|3\n", "|"),
        ("Orders of the week\n\na,b,c\n1,2,3\n4,5,6\n", ","),
        ('a,b,c\n"1;2;3;4","x;y;z;w",3\n4,5,6\n', ","),
        ("only\none\ncolumn\n", ","),
        ("sep=|\na|b\n1;1;1|2;2;2\n", "|"),
    ],
)
def test_delimiters(tmp_path: Path, text: str, delimiter: str) -> None:
    book = opened(tmp_path, text.encode())
    assert book.text_form is not None and book.text_form.delimiter == delimiter
    assert book.doubts == ()


def test_a_delimiter_that_could_be_another_is_said_and_can_be_told(tmp_path: Path) -> None:
    text = b"a,b;c\n1,2;3\n4,5;6\n"
    book = opened(tmp_path, text)
    assert codes(book.doubts) == ["delimiter-judged"]
    assert '"a,b;c"' in book.doubts[0].found and '"sep=;"' in book.doubts[0].mend
    told = opened(tmp_path, text, TextForm(delimiter=";"))
    assert told.doubts == () and told.grids[0].rows[1] == ("1,2", "3")


@pytest.mark.parametrize(
    ("figures", "decimal"),
    [
        ("1,5;2,25", ","), ("1.5;2.25", "."), ("1;2", ""), ("1,5;2.5", ""), ("1,200;3", ""),
        ("1,2345;3", ","), ("12 pcs;a,5", ""),
    ],
)  # fmt: skip
def test_the_decimal_sign_is_what_the_figures_settle(tmp_path: Path, figures: str, decimal: str) -> None:
    assert opened(tmp_path, f"a;b\n{figures}\n".encode()).grids[0].decimal == decimal


def test_a_last_line_without_an_end_is_doubted(tmp_path: Path) -> None:
    (doubt,) = opened(tmp_path, b"a,b,c\n1,2,3\n4,5").doubts
    assert (doubt.code, doubt.source.cell) == ("last-line-short", "B3")
    for text in (b"a,b,c\n1,2,3\n4,5,6", b"a,b,c\n1,2,3\n4,5\n", b"a,b,c\n1,2\n4,5"):
        assert opened(tmp_path, text).doubts == ()


@pytest.mark.parametrize(
    "name",
    ["Crème Brûlée", "Bøgh & Ærø", "N°5 ±2", "Smith’s “Best” €", "Señor Núñez", "Größe", "Ål", "L’Été"],
)
def test_western_letters_are_read_as_such_with_few_names_to_go_by(tmp_path: Path, name: str) -> None:
    """The encoding of Western spreadsheet programs; code page 1252 of the Unicode consortium's tables."""
    book = opened(tmp_path, f"Order,Customer\n1,{name}\n".encode("cp1252"))
    assert book.grids[0].rows[1][1] == name and codes(book.doubts) == ["letters-judged"]


@pytest.mark.parametrize(
    ("name", "encoding"),
    [("Łódź świętą", "cp1250"), ("Dvořák Žižka", "cp1250"), ("Привет", "cp1251"), ("Müller", "cp850"),
     ("Café Noël", "mac-roman"), ("Łódź świętą", "iso8859-2")],
)  # fmt: skip
def test_other_letters_are_not_taken_for_western_ones(tmp_path: Path, name: str, encoding: str) -> None:
    book = opened(tmp_path, f"Order,Customer\n1,{name}\n2,{name}\n".encode(encoding))
    assert book.text_form is not None and book.text_form.encoding != "cp1252"


@pytest.mark.parametrize("encoding", ["cp1252", "cp850", "mac-roman"])
@pytest.mark.parametrize("said", ["Annulé", "Remboursé"])
def test_a_word_that_sheets_go_by_says_which_letters_are_meant(
    said: str, encoding: str, tmp_path: Path
) -> None:
    """Names alone leave it open what the bytes mean; read as Polish letters, a cancelled row was pressed."""
    text = f"{HEAD}1;Bäckerei Groß;;80;{said}\n2;Bäckerei Groß;;80;\n"
    assert opened(tmp_path, text.encode(encoding)).grids[0].rows[1][4] == said
