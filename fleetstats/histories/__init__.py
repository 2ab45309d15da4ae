"""Histories: one row per stay of a unit in a vehicle, faults outside the unit, and vehicle-years."""

from fleetstats.histories.build import build_histories
from fleetstats.histories.result import Histories
from fleetstats.histories.story import tell_story

__all__ = ["Histories", "build_histories", "tell_story"]
