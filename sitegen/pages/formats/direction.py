"""Which way a language is written."""

from __future__ import annotations

from typing import Final, Literal

_SCRIPTS: Final = "adlm arab aran hebr mand nkoo rohg samr syrc syre syrj syrn thaa yezi"
"""The scripts of living languages that go from right to left (ISO 15924, lower case)."""

_LANGUAGES: Final = (
    "ar azb bal ckb dv fa glk he iw ji ks lrc luz mzn nqo pnb ps sd skr syr ug ur yi"
)
"""The languages that are written in one of these scripts where no other is named.

After the likely subtags of the Unicode Common Locale Data Repository; the tests hold the list
against those that a browser has.
"""


def direction(lang: str) -> Literal["ltr", "rtl"]:
    """The direction of a language's text, in the word that HTML has for it.

    Args:
        lang: a language tag (BCP 47). A script in it decides (`ks-Deva`, `ha-Arab`), and else the
            language.
    """
    language, *more = lang.lower().split("-")
    script = next((tag for tag in more if len(tag) == 4 and tag.isalpha()), "")
    known, tag = (_SCRIPTS, script) if script else (_LANGUAGES, language)
    return "rtl" if tag in known.split() else "ltr"
