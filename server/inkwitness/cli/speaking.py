"""The language of the command line: `--lang` of the command that runs, for its errors as well."""

from typing import Annotated

import typer

from inkwitness import phrases
from inkwitness.phrases import Language, Phrases, Said

_spoken: list[Language] = ["en"]


def _speak(lang: Language) -> Language:
    _spoken[:] = [lang]
    return lang


Lang = Annotated[
    Language,
    # eager: an error in another option is told in this language too
    typer.Option(help="Language of what is said.", callback=_speak, is_eager=True),
]


def spoken() -> Phrases:
    """What is said, in the language that the command was given."""
    return phrases.shipped().of(_spoken[0])


def told(key: str, /, **values: Said) -> str:
    """A phrase of the command line (`command` in `terminal.yaml`) in that language."""
    return spoken()(f"command.{key}", **values)
