"""Findings that stop a unit whatever it costs, and the cautions with their published limits."""

from fleetstats.safety.cautions import Caution, Hazard, caution_texts, matters_of, read_cautions, read_hazards
from fleetstats.safety.gate import OBSERVATIONS, Gate, gate, gates

__all__ = ["OBSERVATIONS", "Caution", "Gate", "Hazard", "caution_texts", "gate", "gates", "matters_of", "read_cautions", "read_hazards"]
