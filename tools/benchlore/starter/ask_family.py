"""The conversation about a board: nets from the sources down, then parts, points and measurements."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from types import MappingProxyType
from typing import Any

from benchlore.starter import values
from benchlore.starter.ask_measurement import ask_measurement
from benchlore.starter.draft import Draft
from benchlore.starter.talk import RefusedError, Talk, number, one_of
from benchlore.starter.walked import Walked
from benchlore.vocabulary import BUSES, DEVICES, KIND_BY_LETTER, NET_KINDS, PART_KINDS, SKILLS

# What a part takes as a rule, by the letter of its designator: package, minutes, skill (common practice, no
# source).
_BY_LETTER: Mapping[str, tuple[str, int, str]] = MappingProxyType(
    {
        "C": ("0402 chip", 10, "hot-air"),
        "R": ("0402 chip", 8, "iron"),
        "F": ("1206 chip", 8, "iron"),
        "L": ("moulded inductor", 15, "hot-air"),
        "D": ("two-lead chip", 10, "iron"),
        "Q": ("eight-lead package", 15, "hot-air"),
        "Y": ("four-pad chip", 15, "hot-air"),
        "J": ("board connector", 25, "hot-air"),
        "U": ("QFN", 30, "hot-air"),
        "P": ("panel on a cable", 15, "none"),
        "G": ("board on a cable", 10, "none"),
        "W": ("cable", 10, "none"),
    }
)

NOT_WALKED = Walked("", (), MappingProxyType({}))


def ask_family(talk: Talk, draft: Draft, walked: Walked = NOT_WALKED) -> None:
    """Fill the draft's family. `walked`: what a walk over good boards says already."""
    data = draft.data
    data["title"] = talk.text("What is the board called?", walked.title or None)
    data["kind"] = talk.choice("What device is it of?", DEVICES, "other")
    data["summary"] = talk.text("What is it, in two sentences?")
    letters = talk.ask("Its revisions, by the letter on the board", _revisions, "A")
    data["revisions"] = {one: {"tell": talk.text(f"How does one know revision {one}?")} for one in letters}
    data["states"] = talk.ask(
        "In which bench states is it measured?",
        lambda text: _states(draft, text),
        " ".join(walked.states) or "nothing-connected adapter-only",
    )
    opened = talk.maybe(
        "By which technique is the device opened, such as sealed-shell", lambda text: _technique(draft, text)
    )
    if opened:
        data["opening"] = {"technique": opened}
    width, height = talk.ask("Width and height of the board in mm, such as 120 60", values.place)
    data["board"] = {"width": width, "height": height, "landmarks": {}}
    while name := talk.maybe("A landmark that the eye finds first, such as DC-in jack", str):
        data["board"]["landmarks"][name] = {
            **_places(talk, draft, name),
            "size": talk.ask("Its width and height in mm", values.place),
        }
    data["nets"], data["parts"], data["test_points"], data["measurements"] = {}, {}, {}, {}
    talk.say("Nets, from the sources down: what feeds one is named before it.")
    while name := _next(talk, "A net", values.net_name(data["nets"]), walked.nets(data["nets"])):
        data["nets"][name] = _net(talk, draft, name, walked)
        if wrong := draft.wrong("nets", name):
            talk.say(f"  To mend in the file: {wrong}")
    for name in draft.designators():
        data["parts"][name] = _part(talk, draft, name)
    while name := talk.maybe("Another part that can fail, by its designator", values.designator):
        if name in data["parts"]:
            talk.say(f"  {name} is there already.")
            continue
        part = _part(talk, draft, name)
        nets = talk.ask("On which nets?", lambda text: _known(text, data["nets"], "nets"))
        data["parts"][name] = {
            **{key: part[key] for key in part if key != "replace"},
            "nets": nets,
            "replace": part["replace"],
        }
    if opened:
        without = talk.maybe(
            "Which parts are reached without opening it, such as B1 J1",
            lambda text: _known(text, data["parts"], "parts"),
        )
        data["opening"] |= {"without": without} if without else {}
    points = data["test_points"]
    while name := _next(
        talk,
        "A test point, such as C12 or F1_OUT",
        values.net_name(points),
        (point.at for point in walked.places(points)),
    ):
        read = next((point for point in walked.places(points) if point.at == name), None)
        net = talk.choice("On which net?", data["nets"], read.net if read else None)
        data["test_points"][name] = {
            "net": net,
            **_places(talk, draft, name),
            "where": {
                one: talk.text(
                    f"What does the eye find there{_on(letters, one)}?", (read.where if read else "") or None
                )
                for one in letters
            },
        }
    done: set[str] = set()
    while point := _next(
        talk, "Measure at which test point", one_of(points), (one.at for one in walked.measured(done))
    ):
        read = next((one for one in walked.measured(done) if one.at == point), None)
        ask_measurement(talk, draft, point, (walked, read) if read else None)
        done |= {read.id} if read else set()


def _next(talk: Talk, question: str, read: Callable[[str], str], left: Iterator[str]) -> str | None:
    """A name, or nothing at the end; Enter takes the next of those that a walk has left."""
    name = next(left, None)
    return talk.ask(question, read, name) if name else talk.maybe(question, read)


def _revisions(text: str) -> list[str]:
    letters = text.replace(",", " ").split()
    if not all(one.isalnum() and one == one.upper() for one in letters):
        raise RefusedError("write capital letters or numbers, such as A B")
    return letters


def _states(draft: Draft, text: str) -> list[str]:
    names = text.replace(",", " ").split()
    for name in names:
        if not draft.has("states", name):
            raise RefusedError(
                f"'{name}' is no bench state of the book; write one into common/states.yaml first"
            )
    return names


def _technique(draft: Draft, name: str) -> str:
    if not draft.has("techniques", name):
        raise RefusedError(
            f"'{name}' is no technique of the book; write common/techniques/{name}.yaml first, or press Enter"
        )
    return name


def _known(text: str, records: Mapping[str, Any], kind: str) -> list[str]:
    names = text.replace(",", " ").split()
    for name in names:
        if name not in records:
            raise RefusedError(f"'{name}' is none of the {kind} above")
    return names


def _places(talk: Talk, draft: Draft, name: str) -> dict[str, Any]:
    side = talk.choice(f"{name}: which side?", ("top", "bottom"), "top")
    letters = list(draft.data["revisions"])
    at = {
        one: talk.ask(f"Millimetres from the left and from below{_on(letters, one)}", values.place)
        for one in letters
    }
    return {"side": side, "at": at}


def _on(letters: list[str], one: str) -> str:
    return f" on revision {one}" if len(letters) > 1 else ""


def _net(talk: Talk, draft: Draft, name: str, walked: Walked) -> dict[str, Any]:
    net: dict[str, Any] = {"for": talk.text(f"What is {name} for?")}
    sources = sorted({one for state in draft.data["states"] for one in draft.book.states[state].sources})
    nets = [one for one in draft.data["nets"] if one != name]
    feeds = (*sources, *nets, "nothing")
    fed = talk.choice("What feeds it: a source, or a net above?", feeds, nets[-1] if nets else sources[0])
    if fed in sources:
        net["nominal"] = talk.ask("Its voltage, such as 12 V", values.value("V"), walked.volts(name))
        net["source"] = _filled(
            {"from": fed, "volts": f"{net['nominal']} 5%"},
            limit=talk.maybe("How much current can it give, such as 3 to 4 A", values.band("A")),
            part=talk.maybe("By which connector, such as J1", values.designator),
        )
        net["source"]["volts"] = talk.ask("With its tolerance", values.band("V"), net["source"]["volts"])
    elif fed != "nothing":
        _fed_by(talk, net, fed, walked.volts(name))
    else:
        net["kind"] = talk.choice("What is it then?", NET_KINDS, "control")
    ohms = _known_band(
        talk, "What it reads to ground without power, such as 4.7 kohm 20%", "ohm", walked.band(name, "ohms")
    )
    drop = _known_band(
        talk, "What it reads in diode mode, such as 0.48 V 6%", "V", walked.band(name, "junction")
    )
    kind = {"kind": net.pop("kind")} if "kind" in net else {}
    return _filled({**kind, **net}, load=ohms, junction=drop)


def _known_band(talk: Talk, question: str, unit: str, read: str | None) -> str | None:
    """A band that may be left out; what a walk has read stands ready."""
    return talk.ask(question, values.band(unit), read) if read else talk.maybe(question, values.band(unit))


def _fed_by(talk: Talk, net: dict[str, Any], fed: str, volts: str | None) -> None:
    how = talk.choice("How", ("converter", "path", "pull-up"), "path")
    if how == "pull-up":
        net["kind"] = talk.choice("What kind of line is it?", ("data", "clock", "control"), "data")
        net["nominal"] = talk.ask("Its level, such as 3.3 V", values.value("V"), volts)
        bus = talk.maybe(f"Which standard sets its levels ({', '.join(BUSES)})", one_of(BUSES))
        part = talk.maybe("The pull-up, such as R82", values.designator)
        ohms = talk.ask("Its resistance", values.band("ohm"), "10 kohm 5%")
        net.update(_filled({}, bus=bus), pull=_filled({}, part=part, to=fed, ohms=ohms))
        return
    net["nominal"] = talk.ask("Its voltage, such as 3.3 V", values.value("V"), volts)
    if how == "converter":
        part = talk.maybe("The converter, such as U4", values.designator)
        net["converter"] = _filled({}, part=part) | {"from": fed}
        net["converter"]["volts"] = talk.ask(
            "What it makes, with its tolerance", values.value("V"), f"{net['nominal']} 2%"
        )
    else:
        part = talk.maybe("Through which part, such as F1", values.designator)
        ohms = talk.ask("Its resistance", values.band("ohm"), "50 mohm 20%")
        load = talk.ask("What flows through it", values.band("A"), "0 to 1 A")
        net["path"] = _filled({}, part=part) | {"from": fed, "ohms": ohms, "load": load}


def _filled(data: dict[str, Any], **more: Any) -> dict[str, Any]:
    """The data with those fields that were given."""
    return data | {key: value for key, value in more.items() if value is not None}


def _part(talk: Talk, draft: Draft, name: str) -> dict[str, Any]:
    package, minutes, skill = _BY_LETTER.get(name[0], ("package", 20, "hot-air"))
    kind = KIND_BY_LETTER.get(name[0], "accessory" if name[0] in _BY_LETTER else "ic")
    called = talk.text(f"{name}: what is it, in the trade's words?", PART_KINDS[kind].label)
    kind = talk.choice("Its kind", PART_KINDS, kind)
    part: dict[str, Any] = {"name": called, "kind": kind, "package": talk.text("Its package", package)}
    if PART_KINDS[kind].outside:
        part["unplugs"] = True
        skill = "none"  # no iron nears a pack or a cable
    part["replace"] = _filled(
        {
            "minutes": talk.ask("Minutes to replace it", number, str(minutes)),
            "skill": talk.choice("Skill that it takes", SKILLS, skill),
        },
        price=talk.maybe(f"Its price in {draft.book.shop.currency}", number),
    )
    return part
