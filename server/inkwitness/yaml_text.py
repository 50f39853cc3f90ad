"""YAML as text only: every scalar is a string, and every key and value knows its line.

`on`, `no` and `2009-05` stay what they are in the file; the schema decides what is a date or a
number. A key that stands twice in one mapping is an error, not the last one's victory.
"""

from collections.abc import Mapping
from dataclasses import dataclass
from pathlib import Path

import yaml

_LOADER = getattr(yaml, "CSafeLoader", yaml.SafeLoader)  # the C parser where PyYAML has it
Place = tuple[str | int, ...]
# The largest file of ours has some thousands.
_MOST_PLACES = 50_000


class BadRules(Exception):
    """A rules file that does not follow the schema; the message names file and line.

    It is told in English: who writes rules reads them in it, and the sentences in other languages
    stand in the same folder, which may be what is wrong.
    """

    code = "bad_rules"

    def __init__(self, message: str) -> None:
        super().__init__(message)
        self.message = message


@dataclass(frozen=True, slots=True)
class YamlText:
    """The content of one file and the line (from 1) of each place in it."""

    name: str
    content: object
    lines: Mapping[Place, int]

    def line_of(self, place: Place) -> int:
        """The line of a place, or of the nearest place around it."""
        while place and place not in self.lines:
            place = place[:-1]
        return self.lines.get(place, 1)


def read_yaml(path: Path, name: str = "") -> YamlText:
    """Read one file, called `name` in messages. Raises BadRules where it is not YAML."""
    name = name or path.name
    try:
        text = path.read_text(encoding="utf-8")
    except (OSError, UnicodeDecodeError) as error:
        raise BadRules(f"{name}: cannot be read as UTF-8 text: {error}") from error
    return parse_yaml(text, name)


def parse_yaml(text: str, name: str) -> YamlText:
    """Parse YAML text; `name` is used in messages."""
    try:
        root = yaml.compose(text, Loader=_LOADER)
    except yaml.YAMLError as error:
        mark = getattr(error, "problem_mark", None)
        line = mark.line + 1 if mark is not None else 1
        problem = getattr(error, "problem", None) or str(error)
        raise BadRules(f"{name}:{line}: this is not YAML: {problem}") from error
    if root is None:
        raise BadRules(f"{name}:1: the file is empty; expected a mapping of keys")
    lines: dict[Place, int] = {}
    content = _plain(root, (), lines, name)
    return YamlText(name, content, lines)


def _plain(
    node: yaml.Node,
    place: Place,
    lines: dict[Place, int],
    name: str,
    around: tuple[yaml.Node, ...] = (),
) -> object:
    line = node.start_mark.line + 1
    lines[place] = line
    if isinstance(node, yaml.ScalarNode):
        return str(node.value)
    if any(node is one for one in around):
        raise BadRules(f"{name}:{line}: this holds itself by its alias; write it out instead")
    # an alias of aliases of aliases is short as a file and has no end as a rule book
    if len(lines) > _MOST_PLACES:
        raise BadRules(f"{name}:{line}: over {_MOST_PLACES} keys and values; use fewer aliases")
    around = (*around, node)
    if isinstance(node, yaml.SequenceNode):
        return [
            _plain(child, (*place, i), lines, name, around) for i, child in enumerate(node.value)
        ]
    assert isinstance(node, yaml.MappingNode)
    found: dict[str, object] = {}
    for key_node, value_node in node.value:
        key = str(key_node.value)
        if key in found:
            line = key_node.start_mark.line + 1
            raise BadRules(f"{name}:{line}: the key '{key}' stands twice here; keep one of the two")
        found[key] = _plain(value_node, (*place, key), lines, name, around)
        lines[(*place, key)] = key_node.start_mark.line + 1
    return found
