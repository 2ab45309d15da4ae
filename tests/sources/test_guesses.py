"""Headings as German and French workshops write them, typed for this test (words of the trade: common practice, no source)."""

from collections import Counter

import pytest

from fleetstats.sources.foreign_headings import FRENCH, GERMAN, WORDS
from fleetstats.sources.guesses import _plain, guess_column, guess_table, guess_word
from fleetstats.sources.profile import HELPER_COLUMNS
from fleetstats.tables import INPUT_TABLES, VISITS

SHOPS = {
    "a German invoice list": {
        "RECHNUNGS-NR": "document", "Fahrzeug Nr": "vehicle_id", "amtl. Kennzeichen": "plate", "Annahme-Datum": "date_in", "fertig am:": "date_out",
        "Kunden-Beanstandung": "complaint_text", "Befund": "cause_text", "ausgef\u00fchrte Arbeiten": "correction_text", "Monteur": "technician",
        "Std": "labour_hours", "Ersatzteile EUR": "parts_cost", "Lohn EUR": "labour_cost", "Gesamtbetrag netto": "total_cost", "Kostentr\u00e4ger": "payer",
        "Serien-Nr alt": "removed_serial", "Serien-Nr neu": "fitted_serial"},
    "a French job book": {
        "N\u00b0 de facture": "document", "N\u00b0 de v\u00e9hicule": "vehicle_id", "Date entr\u00e9e": "date_in", "Date sortie": "date_out",
        "Description probl\u00e8me": "complaint_text", "Travaux effectu\u00e9s": "correction_text", "M\u00e9canicien": "technician",
        "Temps pass\u00e9": "labour_hours", "Pi\u00e8ces": "parts_cost", "Main d'oeuvre": "labour_cost", "Montant total HT": "total_cost",
        "Pay\u00e9 par": "payer", "N\u00b0 s\u00e9rie d\u00e9pos\u00e9": "removed_serial", "N\u00b0 s\u00e9rie pos\u00e9": "fitted_serial"},
}


@pytest.mark.parametrize("shop", SHOPS)
def test_headings_of_a_shop_are_guessed_as_a_person_would(shop: str):
    """In capitals, with hyphens or colons and with a currency behind them; all of them together are a table of visits."""
    assert {heading: guess_column(heading, "visits") for heading in SHOPS[shop]} == SHOPS[shop]
    assert guess_table(list(SHOPS[shop])) == "visits"


@pytest.mark.parametrize("heading", ["Kilometerstand", "Kilom\u00e9trage", "Ort", "Farbe", "Couleur", "Marque", "Baujahr", "Rechnungsdatum", "Zulassung"])
def test_headings_of_other_things_are_left_open(heading: str):
    """A mileage, a colour, a year or the day of a bill is no column of ours."""
    assert guess_column(heading, "visits") is None


@pytest.mark.parametrize("table", INPUT_TABLES)
def test_no_heading_of_a_language_means_two_columns_of_a_table(table: str):
    """Where a word might be either of two columns it is left out of the list."""
    known = {*INPUT_TABLES[table].columns, *HELPER_COLUMNS}
    for language in (GERMAN, FRENCH):
        meant = Counter(_plain(word) for column, words in language.items() if column in known for word in words)
        assert [word for word, times in meant.items() if times > 1] == []


def test_words_of_a_language_mean_words_of_ours():
    """Every one leads to a word that the column allows, whatever its capitals and accents."""
    columns = INPUT_TABLES["bench_tests"].columns | VISITS.columns
    assert {column for column in WORDS if not set(WORDS[column]) <= set(columns[column].values)} == set()
    assert guess_word("status", "ERLEDIGT") == guess_word("status", "termine") == "closed"
    assert guess_word("fitted_origin", "\u00dcberholt") == guess_word("first_origin", "reconditionn\u00e9") == "reconditioned"
    assert guess_word("payer", "gew\u00e4hrleistung") == "warranty"
