"""`Column` and `Table`: name, dtype, unit, meaning and allowed values, and the check at the door of a room."""

from __future__ import annotations

import re
from collections.abc import Callable
from dataclasses import dataclass, field
from typing import Any, cast

import pandas as pd

from fleetstats.errors import InputRefused, Problem

DTYPES = {"string": "string", "float": "float64", "int": "Int64", "date": "datetime64[s]", "bool": "boolean"}
SQL_TYPES = {"string": "VARCHAR", "float": "DOUBLE", "int": "BIGINT", "date": "DATE", "bool": "BOOLEAN"}
PRICE_BASIS = re.compile(r"[A-Z]{3} \d{4}-(0[1-9]|1[0-2]) (net|gross)")


@dataclass(frozen=True, kw_only=True)
class Column:
    """One declared column.

    kind: "string", "float", "int", "date" (day) or "bool". unit: of a number. values: the allowed words.
    low, high: closed limits of a number. nullable: may be missing.
    """

    kind: str
    meaning: str
    unit: str = ""
    values: tuple[str, ...] = ()
    low: float | None = None
    high: float | None = None
    nullable: bool = True


@dataclass(frozen=True, kw_only=True)
class Table:
    """A declared table: its key and its columns in order."""

    name: str
    meaning: str
    key: tuple[str, ...]
    columns: dict[str, Column] = field(repr=False)

    def empty(self) -> pd.DataFrame:
        """A frame without rows that has every column with its dtype."""
        return pd.DataFrame({name: pd.Series(dtype=DTYPES[column.kind]) for name, column in self.columns.items()})

    def conform(self, frame: pd.DataFrame, *, coded: bool = False) -> pd.DataFrame:
        """`frame` with exactly the declared columns in order and their dtypes; missing ones are null.

        coded: texts that are categories stay so, which takes less memory where they are only passed on.
        Raises InputRefused for an undeclared column, or one whose values cannot take the dtype.
        """
        unknown = [str(name) for name in frame.columns if name not in self.columns]
        if unknown:
            remedy = f"Known columns of '{self.name}': {', '.join(self.columns)}."
            raise InputRefused(Problem(what=f"table '{self.name}' has no column '{unknown[0]}'", remedy=remedy))
        return pd.DataFrame({name: self._cast(frame, name, column, coded) for name, column in self.columns.items()}, index=frame.index, copy=False)

    def _cast(self, frame: pd.DataFrame, name: str, column: Column, coded: bool) -> pd.Series:
        dtype = DTYPES[column.kind]
        if name not in frame.columns:
            return pd.Series(pd.NA if column.kind in ("string", "int", "bool") else None, index=frame.index, dtype=dtype)
        found = frame[name].dtype
        if found == dtype or (coded and column.kind == "string" and isinstance(found, pd.CategoricalDtype)):
            return frame[name]
        try:
            return frame[name].astype(cast(Any, dtype))
        except (ValueError, TypeError) as error:
            remedy = "Give numbers as numbers and dates as YYYY-MM-DD."
            raise InputRefused(Problem(what=f"table '{self.name}': {error}", column=name, wanted=f"a {column.kind}", remedy=remedy)) from None

    def faults(self, frame: pd.DataFrame) -> pd.DataFrame:
        """Every broken rule of a conformed frame: columns row (index label), column, rule, value."""
        found = [self._broken(frame[name], name, column) for name, column in self.columns.items()]
        if self.key:
            twice = frame.duplicated(list(self.key), keep="first")
            keys = [" / ".join(map(str, key)) for key in frame.loc[twice, list(self.key)].itertuples(index=False)]
            found.append(pd.DataFrame({"row": frame.index[twice], "column": "+".join(self.key), "rule": "key stands twice", "value": keys}))
        parts = [part for part in found if len(part)]
        return pd.concat(parts, ignore_index=True) if parts else pd.DataFrame(columns=["row", "column", "rule", "value"])

    def _broken(self, series: pd.Series, name: str, column: Column) -> pd.DataFrame:
        rules: list[tuple[str, pd.Series]] = []
        if not column.nullable or name in self.key:
            rules.append(("missing", series.isna()))
        if column.values:
            rules.append((f"not one of: {', '.join(column.values)}", _among(series, lambda text: text not in column.values)))
        if column.low is not None:
            rules.append((f"below {column.low:g}", (series < column.low).fillna(False)))
        if column.high is not None:
            rules.append((f"above {column.high:g}", (series > column.high).fillna(False)))
        if name == "price_basis":
            rules.append(('not like "EUR 2026-01 net"', _among(series, lambda text: not PRICE_BASIS.fullmatch(text))))
        frames = [
            pd.DataFrame({"row": series.index[bad.to_numpy(bool)], "column": name, "rule": rule, "value": series[bad.to_numpy(bool)].astype("string").to_numpy()})
            for rule, bad in rules if bad.any()
        ]
        return pd.concat(frames, ignore_index=True) if frames else pd.DataFrame(columns=["row", "column", "rule", "value"])

    def check(self, frame: pd.DataFrame, *, coded: bool = False) -> pd.DataFrame:
        """The frame conformed (coded: as `conform` says); the door of a room. Raises InputRefused, a Problem for every broken rule."""
        table = self.conform(frame, coded=coded)
        faults = self.faults(table)
        if len(faults):
            raise InputRefused(
                Problem(what=f"table '{self.name}': {fault.rule}", found=None if pd.isna(fault.value) else str(fault.value), column=str(fault.column),
                        remedy=f"This came from inside the table (record {fault.row}); mend the source row and import again.")
                for fault in faults.itertuples()
            )
        return table

    def ddl(self) -> str:
        """The SQL that creates this table."""
        lines = [f'"{name}" {SQL_TYPES[column.kind]}' for name, column in self.columns.items()]
        return f'CREATE TABLE "{self.name}" ({", ".join(lines)})'


def _among(series: pd.Series, wrong: Callable[[str], bool]) -> pd.Series:
    """True where a text is wrong; each distinct text is looked at once."""
    found = [text for text in series.unique() if not pd.isna(text) and wrong(str(text))]
    return series.isin(found) if found else pd.Series(False, index=series.index)
