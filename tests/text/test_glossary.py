"""The glossary: plain meanings, each under a word that the lessons use."""

from labkit.text.glossary import glossary
from tests.boats import ROOT


def test_every_term_has_a_meaning_of_a_sentence_or_three():
    for term in glossary():
        assert term.means.endswith(".")
        assert 20 < len(term.means) < 260


def test_no_form_stands_under_two_words():
    forms = [form.lower() for term in glossary() for form in {*map(str.lower, term.forms)}]
    assert len(forms) == len(set(forms))


def test_every_term_is_a_word_of_the_course():
    course = "\n".join(
        path.read_text(encoding="utf-8").lower()
        for pattern in ("*.ipynb", "*.toml")
        for path in (ROOT / "notebooks").glob(pattern)
    )
    missing = [term.word for term in glossary() if not any(f.lower() in course for f in term.forms)]
    assert missing == []
