"""The same visits as shops of four countries write them: facts once, and a dress for each country."""

from __future__ import annotations

import datetime as dt
from dataclasses import dataclass
from pathlib import Path

from fleetstats.settings import Project


@dataclass(frozen=True, kw_only=True)
class Fact:
    """One visit: order number, vehicle, days, what was wrong, hours, money without its currency, payer, serials, and a pressure in mbar."""

    order: str
    vehicle: str
    opened: dt.date
    came: dt.date
    left: dt.date
    wrong: str
    hours: float
    parts: float
    labour: float
    payer: str
    removed: str = ""
    fitted: str = ""
    mbar: float | None = None
    box: float | None = None


@dataclass(frozen=True, kw_only=True)
class Dress:
    """How the shops of a country write: profile lines, delimiter, and a writer for each kind of value. words: what was wrong -> complaint, cause, work."""

    format_lines: str
    money_lines: str
    delimiter: str
    day: str
    hours: str
    amount: str
    pressure: str
    temperature: str
    payers: dict[str, str]
    words: dict[str, tuple[str, str, str]]


US = Dress(
    format_lines='date_order = "mdy"\nhours_point = "decimal"',
    money_lines='currency = "USD"\ntax = "net"', delimiter=",", day="%m/%d/%Y", hours="decimal", amount="$1,234.50",
    pressure="wc", temperature="f", payers={"fleet": "FLT", "warranty": "WARR", "renter": "RENTER"},
    words={"gas": ("refer not cooling on propane", "burner dirty", "cleaned burner"),
           "mains": ("refer not cooling on shore power", "heating element open",
    "new element fitted"),
           "leak": ("smell of ammonia from refer", "cooling unit leaking", "new cooling unit fitted")})
UK = Dress(
    format_lines='date_order = "dmy"',
    money_lines='currency = "GBP"\ntax = "gross"\ntax_rate = 0.20', delimiter=",", day="%d/%m/%y", hours="clock", amount="£1,234.50",
    pressure="mb", temperature="c", payers={"fleet": "fleet", "warranty": "warranty", "renter": "hirer"},
    words={"gas": ("fridge not cooling on gas", "burner dirty", "burner cleaned"), "mains": ("fridge not cooling on hook-up", "element open circuit",
    "new element fitted"),
           "leak": ("smell of ammonia from fridge", "cooling unit leaks", "new cooling unit fitted")})
AU = Dress(
    format_lines='date_order = "dmy"\nhours_unit = "minutes"', money_lines='currency = "AUD"\ntax = "gross"\ntax_rate = 0.10', delimiter="\t", day="%d-%b-%Y",
    hours="minutes", amount="1234.50", pressure="kpa", temperature="c", payers={"fleet": "flt", "warranty": "wty", "renter": "hirer"},
    words={"gas": ("fridge not cooling on gas", "burner dirty", "burner cleaned"), "mains": ("fridge not cooling on 240", "element open circuit",
    "new element fitted"),
           "leak": ("smell of ammonia from fridge", "cooling unit leaks", "new cooling unit fitted")})
CA = Dress(
    format_lines='decimal = ","', money_lines='currency = "CAD"\ntax = "net"', delimiter=";", day="%Y-%m-%d", hours="h", amount="1 234,50 $",
    pressure="mb,", temperature="c,", payers={"fleet": "flotte", "warranty": "garantie", "renter": "locataire"},
    words={"gas": ("le frigo ne refroidit pas au propane", "brûleur sale", "brûleur nettoyé"),
           "mains": ("le frigo ne refroidit pas sur secteur", "élément ouvert", "élément remplacé"),
           "leak": ("odeur d'ammoniac au frigo", "fuite de l'unité de refroidissement", "new cooling unit fitted")})
DRESSES = {"US": US, "UK": UK, "AU": AU, "CA": CA}
HEADINGS = {"Order": "document", "Opened": "opened_on", "In": "date_in", "Out": "date_out", "Unit": "vehicle_id", "Complaint": "complaint_text",
    "Cause": "cause_text",
            "Work": "correction_text", "Hrs": "labour_hours", "Parts": "parts_cost", "Labor": "labour_cost", "Pay": "payer", "Ser out": "removed_serial",
            "Ser in": "fitted_serial"}


def write_project(folder: Path, facts: list[Fact], country: str, files: int = 1) -> Project:
    """A project folder with the facts in the dress of one country, dealt out to `files` files."""
    dress, project = DRESSES[country], Project(folder)
    for sub in (folder, project.raw, project.profiles):
        sub.mkdir(parents=True, exist_ok=True)
    (folder / "fleetstats.toml").write_text("as_of = 2025-12-31\n", encoding="utf-8")
    (project.profiles / "shop.toml").write_text(_profile(dress), encoding="utf-8")
    for number in range(files):
        (project.raw / f"shop_{number}.csv").write_text(_text(dress, facts[number::files]), encoding="utf-8")
    return project


def _profile(dress: Dress) -> str:
    columns = "\n".join(f'"{heading}" = "{name}"' for heading, name in HEADINGS.items())
    payers = "\n".join(f'"{theirs}" = "{ours}"' for ours, theirs in dress.payers.items())
    delimiter = dress.delimiter.replace("\t", "\\t")
    return (f'files = ["*.csv"]\n[format]\ndelimiter = "{delimiter}"\n{dress.format_lines}\n[money]\n{dress.money_lines}\n[columns]\n{columns}\n'
            f'[constants]\nshop = "Mill workshop"\n[values.payer]\n{payers}\n')


def _text(dress: Dress, facts: list[Fact]) -> str:
    rows = [list(HEADINGS), *(_row(dress, fact) for fact in facts)]
    return "".join(dress.delimiter.join(f'"{cell}"' for cell in row) + "\n" for row in rows)


def _row(dress: Dress, fact: Fact) -> list[str]:
    complaint, cause, work = dress.words[fact.wrong]
    gross = 1.2 if "0.20" in dress.money_lines else 1.1 if "0.10" in dress.money_lines else 1.0
    work += f", gas {_pressure(dress, fact.mbar)}" if fact.mbar else ""
    work += f", box {_temperature(dress, fact.box)}" if fact.box is not None else ""
    days = [day.strftime(dress.day) for day in (fact.opened, fact.came, fact.left)]
    money = [_amount(dress, round(amount * gross, 2)) for amount in (fact.parts, fact.labour)]
    return [fact.order, *days, fact.vehicle, complaint, cause, work, _hours(dress, fact.hours), *money, dress.payers[fact.payer], fact.removed, fact.fitted]


def _hours(dress: Dress, hours: float) -> str:
    whole, minutes = int(hours), round(hours % 1 * 60)
    return {"decimal": f"{hours:g}", "clock": f"{whole}:{minutes:02d}", "minutes": f"{round(hours * 60)}", "h": f"{whole}h{minutes:02d}"}[dress.hours]


def _amount(dress: Dress, amount: float) -> str:
    grouped = f"{abs(amount):,.2f}"
    text = {"$1,234.50": f"${grouped}", "£1,234.50": f"£{grouped}", "1234.50": f"{abs(amount):.2f}",
            "1 234,50 $": grouped.replace(",", " ").replace(".", ",") + " $"}[dress.amount]
    return text if amount >= 0 else {"$1,234.50": f"({text})", "£1,234.50": f"-{text}", "1234.50": f"{text} CR", "1 234,50 $": f"-{text}"}[dress.amount]


def _pressure(dress: Dress, mbar: float) -> str:
    return {"wc": f"{mbar / 2.49082:.2f}wc", "mb": f"{mbar:.1f}mb", "kpa": f"{mbar / 10:.2f}kpa", "mb,": f"{mbar:.1f}mb".replace(".", ",")}[dress.pressure]


def _temperature(dress: Dress, celsius: float) -> str:
    return {"f": f"{celsius * 1.8 + 32:.1f}f", "c": f"{celsius:.1f}c", "c,": f"{celsius:.1f}c".replace(".", ",")}[dress.temperature]
