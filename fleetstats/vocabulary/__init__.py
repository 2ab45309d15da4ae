"""Vocabulary: codes of the trade with definitions and phrases (TOML), and the matcher that finds them in free text."""

from fleetstats.vocabulary.load import definition, load_vocabulary, symptom_group
from fleetstats.vocabulary.match import Match, Recognition
from fleetstats.vocabulary.recognitions import Recognitions
from fleetstats.vocabulary.vocabulary import Vocabulary

__all__ = ["Match", "Recognition", "Recognitions", "Vocabulary", "definition", "load_vocabulary", "symptom_group"]
