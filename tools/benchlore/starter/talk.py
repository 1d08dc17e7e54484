"""A conversation: question after question, each answer checked at once, and kept until the end."""

from __future__ import annotations

from collections import deque
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field
from typing import TypeVar

from benchlore.findings import nearest

T = TypeVar("T")


class RefusedError(Exception):
    """An answer that cannot be taken; the message says why and what would do."""


class UnansweredError(Exception):
    """Nobody is there to answer a question that has no default."""


@dataclass
class Talk:
    """One conversation.

    `given`: answers that are there already, a script's or an earlier visit's. `typed`: asks the person;
    None where nobody types, so that defaults are taken. `keep`: told of the answers after each.
    `again`: the given ones are an earlier visit's, so that none behind a refused one can be trusted.
    `taken`: those accepted so far, as typed; `refused`: how many were not.
    """

    given: deque[str]
    typed: Callable[[str], str] | None
    say: Callable[[str], None]
    keep: Callable[[Sequence[str]], None]
    again: bool = False
    taken: list[str] = field(default_factory=list)
    refused: int = 0

    def ask(self, question: str, read: Callable[[str], T], default: str | None = None) -> T:
        """What `read` makes of the answer; it raises RefusedError. Enter alone takes the default."""
        shown = f"{question}{f' [{default}]' if default else ''}: "
        while True:
            line = self._line(shown, default)
            try:
                text = line.strip() or default
                if text is None:
                    raise RefusedError("an answer is needed here")
                value = read(text)
            except RefusedError as refused:
                self.refused += 1
                if self.again:
                    self.given.clear()
                self.say(f"  No: {refused}")
                continue
            self.taken.append(line)
            self.keep(self.taken)
            return value

    def _line(self, shown: str, default: str | None) -> str:
        if self.given:
            line = self.given.popleft()
            self.say(f"{shown}{line}")
            return line
        if self.typed is None:
            if default is None:
                raise UnansweredError(f"nobody answers '{shown.rstrip(': ')}', and it has no default")
            return ""
        return self.typed(shown)

    def text(self, question: str, default: str | None = None) -> str:
        """A line of words."""
        return self.ask(question, plain, default)

    def maybe(self, question: str, read: Callable[[str], T]) -> T | None:
        """An answer that may be left out with Enter."""
        return self.ask(f"{question} (Enter: none)", lambda text: read(text) if text else None, "")

    def choice(self, question: str, choices: Iterable[str], default: str | None = None) -> str:
        """One of the choices."""
        return self.ask(f"{question} ({', '.join(choices)})", one_of(choices), default)


def plain(text: str) -> str:
    """A line of words as it is."""
    if len(text) > 300:
        raise RefusedError(f"this has {len(text)} characters; 300 fit")
    return text


def one_of(choices: Iterable[str]) -> Callable[[str], str]:
    """A reader of one of these words."""
    known = tuple(choices)

    def read(text: str) -> str:
        if text not in known:
            raise RefusedError(f"'{text}' is none of these; {nearest(text, known) or ', '.join(known)}")
        return text

    return read


def number(text: str) -> float:
    """A number above nothing: minutes, a price, a count."""
    try:
        value = float(text)
    except ValueError:
        raise RefusedError(f"'{text}' is no number; write one such as 12 or 0.5") from None
    if not 0 < value < 1e6:
        raise RefusedError("write a number above 0")
    return int(value) if value.is_integer() else value
