"""Languages: headings and trade words of all of them are understood at once, and none contradicts another."""

from __future__ import annotations

import tomllib
from importlib import resources
from pathlib import Path
from typing import Any

import pytest

from scheduler.intake.layout import Table
from scheduler.intake.orders.headings.columns import column_labels
from scheduler.intake.orders.headings.words import HeadingWords
from scheduler.intake.orders.layout import orders_table
from scheduler.intake.shop.layout import SHOP_TABLES
from scheduler.intake.words import heading_key, merge, words
from tests.intake.orders.test_owner_sheets import USUAL, doubts, found, pieces, read

FOLDER = resources.files("scheduler.intake") / "words"
FILES = {
    item.name: tomllib.loads(item.read_text(encoding="utf-8"))
    for item in sorted(FOLDER.iterdir(), key=lambda item: item.name)
    if item.name.endswith(".toml")
}
PAGE = Path(__file__).parents[2] / "docs" / "languages.md"


def test_the_languages_that_ship() -> None:
    assert {content["language"] for content in FILES.values()} == {
        "English",
        "Deutsch",
        "Français",
        "Español",
    }
    page = PAGE.read_text(encoding="utf-8")
    assert all(f"`{name}`" in page for name in FILES)


def test_no_word_means_two_things_in_two_languages() -> None:
    assert merge(list(FILES.items())) == words()
    strange = {"headings": {"orders": {"garment": ["Kunde"]}}}
    with pytest.raises(ValueError, match=r'xx\.toml: "kunde" already means \'customer\', not \'garment\''):
        merge([*FILES.items(), ("xx.toml", strange)])
    assert merge([*FILES.items(), ("xx.toml", {"headings": {"orders": {"garment": ["Vaate"]}}})])


def test_every_column_has_its_words_in_every_language() -> None:
    """A language without a word for a column that is needed would never read a sheet."""
    needed = {column.key for column in orders_table(()).columns if column.needed}
    for name, content in FILES.items():
        there = set(content["headings"]["orders"])
        assert needed <= there, name
        assert {"size", "quantity", "cut_off_date", "notes", "status", "not_needed"} <= there, name


def test_sections_and_columns_of_language_files_are_known() -> None:
    """A column misspelt in a language file would be a heading that leads nowhere."""
    columns: dict[str, set[str]] = {
        table: {column for content in FILES.values() for column in content["headings"].get(table, {})}
        for table in ("orders", "names")
    }
    english = FILES["en.toml"]
    for name, content in FILES.items():
        assert set(content) <= set(english), name
        for table, there in columns.items():
            assert there == set(english["headings"][table]), (name, table)
        for section in ("names", "statuses", "dates", "counts", "groups", "notes", "units", "sides"):
            assert set(content.get(section, {})) <= set(english[section]), (name, section)


@pytest.mark.parametrize("table", SHOP_TABLES, ids=lambda table: table.sheet)
def test_the_headings_that_are_written_are_understood(table: Table) -> None:
    known = words().headings[table.key]
    assert {
        column.key for column in table.columns if known.get(heading_key(column.label)) != column.key
    } == set()


def test_every_name_of_a_column_can_be_confirmed() -> None:
    heads = HeadingWords(USUAL.sizes)
    for label in column_labels():
        if label not in ("Name", "Number"):
            meaning = heads.meaning(label)
            assert meaning is not None and meaning.key, label


GERMAN = (
    [
        "Auftrags-Nr.",
        "Kunde",
        "Bestelldatum",
        "Liefertermin",
        "Artikel",
        "Farbe",
        "Stoff",
        "Druckposition",
        "Transferart",
        "Motiv",
        "Breite (cm)",
        "Höhe (cm)",
        "S",
        "Größe M",
        "XXL",
        "Bemerkung",
        "Stand",
    ],
    [
        "0815",
        "Müller & Söhne",
        "01.02.2026",
        "12. März 2026",
        "Shirt",
        "blau",
        "Baumwolle",
        "Brust links",
        "film hot peel",
        "Wappen",
        "9,0",
        "8,5",
        "2",
        "3",
        None,
        "bitte gerade",
        "offen",
    ],
)
FRENCH = (
    [
        "N° de commande",
        "Client",
        "Date de commande",
        "Date de livraison",
        "Article",
        "Couleur",
        "Tissu",
        "Emplacement",
        "Type de transfert",
        "Visuel",
        "Largeur cm",
        "Hauteur cm",
        "S",
        "Taille M",
        "XXL",
        "Remarques",
        "Statut",
    ],
    [
        "0815",
        "Café Zoé",
        "01/02/2026",
        "12 mars 2026",
        "tee",
        "bleu",
        "coton",
        "cœur",
        "film hot peel",
        "écusson",
        "9",
        "8,5",
        "2",
        "3",
        None,
        "bien droit",
        "en cours",
    ],
)
SPANISH = (
    [
        "Nº de pedido",
        "Cliente",
        "Fecha de pedido",
        "Fecha de entrega",
        "Prenda",
        "Color",
        "Tejido",
        "Ubicacion",
        "Tipo de transfer",
        "Diseño",
        "Ancho (cm)",
        "Alto (cm)",
        "S",
        "Talla M",
        "XXL",
        "Notas",
        "Estado",
    ],
    [
        "0815",
        "Peña Núñez",
        "01/02/2026",
        "12 de marzo de 2026",
        "camiseta",
        "azul",
        "algodon",
        "pecho izquierdo",
        "film hot peel",
        "escudo",
        "9",
        "8,5",
        "2",
        "3",
        None,
        "recto",
        "en proceso",
    ],
)


@pytest.mark.parametrize("sheet", [GERMAN, FRENCH, SPANISH], ids=["de", "fr", "es"])
def test_a_sheet_in_another_language_is_read(sheet: tuple[list[Any], list[Any]]) -> None:
    looked = read([list(row) for row in sheet], USUAL)
    assert found(looked) == []
    assert {code for code, _ in doubts(looked)} == {"length-converted"}
    (order,) = looked.orders
    assert order.id == "0815" and f"{order.cut_off:%Y-%m-%d}" == "2026-03-12"
    assert pieces(looked) == {"0815": {"S": 2, "M": 3}}
    (line,) = order.lines
    (one,) = line.prints
    assert (line.fabric, one.placement, one.width_mm, one.height_mm) == ("cotton", "left chest", 90, 85)
    assert all(column.key or column.how.value == "not needed" for column in looked.columns)


@pytest.mark.parametrize(
    ("status", "why"),
    [("storniert", "cancelled"), ("terminé", "done"), ("en espera", "on hold"), ("En attente", "on hold")],
)
def test_states_in_other_languages(status: str, why: str) -> None:
    head, row = GERMAN
    looked = read([list(head), [*row[:-1], status]], USUAL)
    assert [one.why for one in looked.left_out] == [why] and looked.orders == ()
