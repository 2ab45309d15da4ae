"""The vocabulary's TOML files: codes with their phrases, classes of words, cues."""

from __future__ import annotations

import difflib
import tomllib
from collections.abc import Mapping
from functools import lru_cache
from importlib import resources
from pathlib import Path
from typing import Literal

from pydantic import Field

from fleetstats.documents import Document, read_toml, validate
from fleetstats.errors import InputRefused, Problem

FACETS = {"symptoms": "symptom", "items": "item", "findings": "finding", "actions": "action", "outcomes": "outcome", "checks": "check", "vehicle": "vehicle"}
"""File of codes -> facet of its codes."""


class Entry(Document):
    """One code. Phrases are matched after normalising; `@name` in a phrase stands for any word of that class (language.toml)."""

    definition: str
    phrases: tuple[str, ...] = ()
    suspected: tuple[str, ...] = Field((), description="phrases that recommend or suspect it")
    ruled_out: tuple[str, ...] = Field((), description="phrases that deny it")
    unnamed: tuple[str, ...] = Field((), description="phrases that name no item; they speak of one of `others` where that is named beside them")
    others: tuple[str, ...] = Field((), description="codes and words to which an unnamed phrase belongs rather than to this code")
    not_phrases: tuple[str, ...] = Field((), description="counter-examples: phrases that look like it and are not")
    item: str | None = Field(None, description="item that a finding or action is about")
    group: Literal["leak", "no cooling", "weak", "other"] | None = Field(None, description="symptoms: group of the complaint")
    symptom: str | None = Field(None, description="findings: complaint that it amounts to when a complaint names it")
    refrigerator: bool = Field(False, description="met alone, it shows that a text is about the refrigerator")
    sound: bool = Field(False, description="findings: says that the item is in order")
    unsettled: bool = Field(False, description="actions named next to it are not done yet")
    vague: tuple[str, ...] = Field((), description="words and classes of which one word says it only alone, or beside what was done or who says it")
    undecided: tuple[str, ...] = Field((), description="words and classes that leave it open where they stand in its part without a code of their own")
    with_words: tuple[str, ...] = Field((), description="classes of words of which one next to an item of `with_items` makes this code")
    with_items: tuple[str, ...] = ()
    check: str | None = Field(None, description="check that this finding reports")
    outcome: Literal["pass", "fail", "done"] | None = Field(None, description="what it says of that check")
    passed: tuple[str, ...] = Field((), description="checks: phrases that say it was passed")
    failed: tuple[str, ...] = Field((), description="checks: phrases that say it was failed")
    low: float | None = Field(None, description="checks: least passing value in SI")
    high: float | None = Field(None, description="checks: greatest passing value in SI")
    source: str = "common practice, no source"


class Context(Document):
    """A word that means something else next to certain words: it then becomes the word of `becomes`."""

    word: str
    becomes: str
    before: tuple[str, ...] = Field((), description="words directly before it; # is any number")
    after: tuple[str, ...] = Field((), description="words directly behind it")
    near: tuple[str, ...] = Field((), description="words in the same sentence")
    unless: tuple[str, ...] = Field((), description="words in the same sentence that keep its usual meaning")


class Verdict(Document):
    """The code that a comparison makes when these subjects are not well and those are, or one alone works."""

    code: str
    unwell: tuple[str, ...] = ()
    well: tuple[str, ...] = ()
    unless: tuple[str, ...] = Field((), description="subjects of which none may be well")
    only: str | None = Field(None, description="the one subject that is said to work, alone")


class Contrast(Document):
    """Things that shops compare in one breath ('works on gas, not on mains'), the words that tell their state, and the codes of it: the first that fits."""

    subjects: dict[str, tuple[str, ...]]
    well: tuple[str, ...]
    unwell: tuple[str, ...]
    denying: tuple[str, ...] = Field(description="words that alone say 'not well' beside a subject that is well")
    figures: tuple[str, ...] = Field((), description="figures that tell the opposite of the other subject, behind a word of `but`")
    but: tuple[str, ...]
    only: tuple[str, ...] = ()
    between: tuple[str, ...] = Field(description="words that may stand between")
    verdicts: tuple[Verdict, ...]
    excluded: dict[str, tuple[str, ...]] = Field({}, description="subject -> codes that the same sentence cannot mean where that subject is well")

    def words(self) -> tuple[str, ...]:
        """Every word and phrase of it."""
        subjects = (words for phrases in self.subjects.values() for words in phrases)
        return (*self.well, *self.unwell, *self.denying, *self.figures, *self.but, *self.only, *self.between, *subjects)


class Language(Document):
    """Words around the codes."""

    ignored: tuple[str, ...] = Field(description="words left out of every comparison")
    ordinary: tuple[str, ...] = Field(description="ordinary words that are never taken for a misspelt word of the trade")
    abbreviations: tuple[str, ...] = Field(description="words after which a full stop ends no sentence")
    written: dict[str, tuple[str, ...]] = Field(description="words and how else shops write them")
    terms: dict[str, tuple[str, ...]] = Field(description="classes of words and of word groups")
    context: tuple[Context, ...]
    contrast: tuple[Contrast, ...]
    denying: tuple[str, ...]
    denied_by: tuple[str, ...] = Field(description="words behind a code that deny it")
    suspecting: tuple[str, ...]
    suspected_by: tuple[str, ...] = Field(description="words behind a code that make it a suspicion")
    afterthoughts: tuple[str, ...] = Field(description="words that make a suspicion of what stands before their part of a sentence, where that holds no code")
    confirming: tuple[str, ...] = Field(description="words with which what was suspected is found after all")
    pointing: tuple[str, ...] = Field(description="words that point back to what was named before a comma")
    claiming: tuple[str, ...] = Field(description="words before a finding that tell who else says it: a suspicion")
    inferring: tuple[str, ...]
    recommending: tuple[str, ...]
    recommended_by: tuple[str, ...]
    past: tuple[str, ...] = Field(description="words near an action that tell of an earlier one")
    joining: tuple[str, ...] = Field(description="words that carry a denial on to the next code")
    ending: tuple[str, ...] = Field(description="words at which denying and suspecting end")


def item_of(entries: Mapping[str, tuple[str, Entry]], code: str) -> str | None:
    """The item that a finding or an action is about; an item's own code."""
    facet, entry = entries[code]
    return code if facet == "item" else entry.item


class Taught(Document):
    """Phrases of one code taught in a project's words.toml."""

    phrases: tuple[str, ...] = Field(min_length=1)


class TaughtWords(Document):
    """A project's words.toml."""

    words: dict[str, Taught] = Field(default_factory=dict)


def _package_toml(name: str) -> dict[str, object]:
    return tomllib.loads(resources.files("fleetstats.vocabulary").joinpath(f"{name}.toml").read_text(encoding="utf-8"))


@lru_cache(maxsize=1)
def shipped_entries() -> dict[str, tuple[str, Entry]]:
    """Code -> (facet, entry) of every code shipped."""
    entries: dict[str, tuple[str, Entry]] = {}
    for file, facet in FACETS.items():
        for code, data in _package_toml(file).items():
            entries[code] = (facet, validate(dict(data), Entry, file=f"{file}.toml"))  # type: ignore[call-overload]
    return entries


@lru_cache(maxsize=1)
def shipped_language() -> Language:
    """Words around the codes, as shipped."""
    return validate(_package_toml("language"), Language, file="language.toml")


def taught_words(path: Path) -> dict[str, tuple[str, ...]]:
    """Code -> phrases of a words.toml. Raises InputRefused for a code that is not known, and for phrases that stand below no [words.CODE]."""
    content = read_toml(path)
    misplaced = [key for key in content if key != "words"]
    misplaced += [f"words.{key}" for key, value in _table(content.get("words")).items() if not isinstance(value, dict)]
    if misplaced:
        raise InputRefused(_misplaced(key, path) for key in misplaced)
    taught = validate(content, TaughtWords, file=path.name).words
    known = shipped_entries()
    strange = [code for code in taught if code not in known]
    if strange:
        raise InputRefused(_unknown_code(code, known, path) for code in strange)
    return {code: words.phrases for code, words in taught.items()}


def _table(value: object) -> dict[str, object]:
    return value if isinstance(value, dict) else {}


def _misplaced(key: str, path: Path) -> Problem:
    code = key if key in shipped_entries() else "CODE"
    return Problem(what=f"'{key}' stands where no code is named", file=path.name,
                   remedy=f'Phrases belong below the code that they mean: [words.{code}] on one line, phrases = ["..."] on the next.')


def _unknown_code(code: str, known: dict[str, tuple[str, Entry]], path: Path) -> Problem:
    """A misspelt code is told only within its item: by spelling alone another meaning may be the nearest."""
    stem = "_".join(code.split("_")[:2]) + "_"
    near = difflib.get_close_matches(code, [other for other in known if other.startswith(stem)], n=1) or difflib.get_close_matches(code, known, n=1, cutoff=0.9)
    listed = "Run 'fleetstats dictionary' for the list of codes."
    hint = f'Perhaps "{near[0]}" is meant: {known[near[0]][1].definition} {listed}' if near else listed
    return Problem(what=f"'{code}' is no code of the vocabulary", file=path.name, remedy=hint)
