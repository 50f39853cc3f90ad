"""Words that judge, in each language: no phrase, template, label or message of ours has one.

From the job map of this project, section 6.1 (English); the words that say the same in the other
languages are from memory. A noun that a standard uses (certificate, approval number) is not among
them; the adjective is. What stands in quotation marks quotes a print, a paper or an authority.
"""

import re

from inkwitness.errors import BadInput

VERDICTS = {
    "en": r"\b(authentic|genuine|real|legit\w*|original|fakes?|counterfeit\w*|falsified|fraud\w*|"
    r"scam|forge(d|ries|ry)|safe\w*|unsafe|pass(es|ed)?|fail\w*|certified|approved|verified|guarantee\w*|cleared|"
    r"ok(ay)?)\b",
    "es": r"\b(auténtic[oa]s?|genuin[oa]s?|verdader[oa]s?|legítim[oa]s?|original(es)?|fals[oa]s?|"
    r"falsificad[oa]s?|fraud\w*|estafa|segur[oa]s?|insegur[oa]s?|aprobad[oa]s?|verificad[oa]s?|"
    r"garanti\w*|certificad[oa]s (por|como)|fallad[oa]s?|ok)\b",
    "fr": r"\b(authentiques?|véritables?|vrais?|vraies?|légitimes?|origina(l|ux|les?)|faux|"
    r"fausses?|contrefai\w*|contrefaçon|falsifié\w*|fraud\w*|arnaque|sûr(e|s|es)?|approuvé\w*|"
    r"vérifié\w*|garanti\w*|certifié\w*|réussi\w*|échoué\w*|ok)\b",
    "pt": r"\b(autêntic[oa]s?|genuín[oa]s?|verdadeir[oa]s?|legítim[oa]s?|origina(l|is)|"
    r"fals[oa]s?|falsificad[oa]s?|fraud\w*|burla|segur[oa]s?|insegur[oa]s?|aprovad[oa]s?|"
    r"verificad[oa]s?|garanti\w*|reprovad[oa]s?|ok)\b",
    "hi": r"असली|नकली|प्रामाणिक(?!ता)|सुरक्षित|असुरक्षित|जाली|फ़र्ज़ी|फर्जी|धोखा|अनुमोदित|स्वीकृत|"
    r"सत्यापित|गारंटी|प्रमाणित|पास(?= हो| हुआ)|फ़ेल|फेल|ओके",
}
_QUOTED = re.compile(r"“[^”]*”|\"[^\"]*\"|«[^»]*»")


def judging(language: str, text: str) -> list[str]:
    """The words of a text that judge, in the order they stand there.

    >>> judging("en", "The paper is titled “approved list”; the goods are fake.")
    ['fake']
    """
    spoken = _QUOTED.sub(" ", text)
    return [found[0] for found in re.finditer(VERDICTS[language], spoken, re.IGNORECASE)]


def check(language: str, text: str) -> None:
    """Raises BadInput where a person's words for somebody outside hold a word that judges."""
    found = judging(language, text)
    if found:
        raise BadInput("word_judges", word=found[0])
