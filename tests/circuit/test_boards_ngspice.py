"""Both boards of the book in `ngspice`, healthy and with faults, against what is predicted of them.

The netlist is the graph written again: resistors, diodes, and feeds with a current limit. What waits for an
input or an enable is off at first, and on in the next run where the simulated voltages meet it, until nothing
changes. Every node must lie in the predicted interval.
"""

import re
import subprocess

import pytest

from benchlore.circuit.graph.change import Fault
from benchlore.circuit.graph.elements import Converter, Need, Path, Pull, Signal, Source, is_there
from benchlore.circuit.graph.power import UP, Power, Setup, asked_by
from benchlore.circuit.graph.predict import Predictor
from benchlore.circuit.interval import Interval
from tests.circuit.boards import board, meter
from tests.parts import NGSPICE

pytestmark = [
    pytest.mark.slow,
    NGSPICE,
]

LIMIT = 20.0  # A: where every feed gives up
FEED = 1e-3  # ohm, inside it
NOTHING = Interval(0.004, 0.006)  # ohm

CASES = [
    ("petrel-13", "adapter-only", None),
    ("petrel-13", "pack-only", None),
    ("petrel-13", "adapter-and-pack", None),
    ("petrel-13", "adapter-only", Fault("F1", "open")),
    ("petrel-13", "adapter-only", Fault("R82", "open")),
    ("petrel-13", "adapter-only", Fault("R66", "open")),
    ("petrel-13", "adapter-only", Fault("U70", "open")),
    ("petrel-13", "adapter-only", Fault("D71", "open")),
    ("petrel-13", "adapter-only", Fault("D18", "leaks", "PACK_DATA", value=Interval(300.0, 320.0))),
    ("petrel-13", "adapter-only", Fault("S30", "leaks", "LID", value=Interval(20e3, 22e3))),
    ("petrel-13", "adapter-only", Fault("U30", "content-lost")),
    ("petrel-13", "adapter-only", Fault("C61", "shorted-to-ground", value=NOTHING)),
    ("petrel-13", "adapter-only", Fault("C55", "shorted-to-ground", value=NOTHING)),
    ("petrel-13", "adapter-only", Fault("C72", "shorted-to-ground", value=NOTHING)),
    ("petrel-13", "pack-only", Fault("Q5", "open")),
    ("petrel-13", "adapter-and-pack", Fault("R35", "open")),
    ("petrel-13", "adapter-only", Fault("K1", "shorted-to-ground", "POWER_KEY")),
    ("tern-10", "usb-c-only", None),
    ("tern-10", "usb-c-turned", None),
    ("tern-10", "pack-only", None),
    ("tern-10", "usb-c-and-pack", None),
    ("tern-10", "usb-c-only", Fault("R81", "open")),
    ("tern-10", "usb-c-only", Fault("D81", "shorted-to-ground", "CC1")),
    ("tern-10", "usb-c-turned", Fault("D81", "shorted-to-ground", "CC1")),
    ("tern-10", "usb-c-only", Fault("U85", "open")),
    ("tern-10", "usb-c-only", Fault("L92", "open")),
    ("tern-10", "usb-c-only", Fault("L93", "open")),
    ("tern-10", "usb-c-only", Fault("U83", "open")),
    ("tern-10", "usb-c-only", Fault("C84", "shorted-to-ground", value=NOTHING)),
    ("tern-10", "usb-c-only", Fault("C88", "shorted-to-ground", value=NOTHING)),
    ("tern-10", "usb-c-and-pack", Fault("B1", "shorted-to-ground", "MGMT_DATA")),
]


def middle(volts: Interval | None) -> float:
    assert volts is not None
    return volts.middle


class Netlist:
    """One board as lines of ngspice, after the voltages `before`; its nodes begin with `tag`."""

    def __init__(self, power: Power, tag: str, before: dict[str, float], latched: set[str]) -> None:
        self.power, self.tag, self.lines, self.count = power, tag, list[str](), 0
        self.before, self.latched = before, latched
        self.feeds: list[tuple[str, str]] = []
        change = power.change
        graph = power.board.graph
        ohms, self.volts = dict(change.ohms), dict(change.volts)
        for i, e in enumerate(graph.elements):
            if i in change.cut or not is_there(e, power.state):
                continue
            match e:
                case Source():
                    if e.built_in or e.name in graph.states[power.state]:
                        self.feed(e.net, middle(self.volts.get(i, e.volts)), e.needs)
                case Converter():
                    self.converter(i, e)
                case Signal() if e.volts is not None and e.by not in change.silent | change.mute:
                    self.feed(e.net, e.volts.middle, e.needs)
                case Pull():
                    self.add("R", e.net, e.to, f"{ohms.get(i, e.ohms).middle:.9g}")
                case Path():
                    self.path(i, e)
        for net, rest in power.board.rest.items():
            self.add("R", net, "", f"{rest.middle:.9g}")
        for ground in change.grounds:
            self.add("R", ground.net, "", f"{ground.ohms.middle:.9g}")
        for net in graph.nets:
            self.add("R", net, "", "10meg")

    def node(self, net: str) -> str:
        return f"{self.tag}{re.sub('[^a-z0-9]', 'z', net.lower())}" if net else "0"

    def add(self, kind: str, a: str, b: str, value: str) -> None:
        self.count += 1
        self.lines.append(f"{kind}{self.tag}{self.count} {self.node(a)} {self.node(b)} {value}")

    def meets(self, needs: tuple[Need, ...]) -> bool:
        """True where the simulated voltages meet all needs."""
        for need in needs:
            volts = self.before.get(self.node(need.net), 0.0)
            least = UP * self.power.board.lowest.get(need.net, 0.1 / UP)
            low, high = (need.window.low, need.window.high) if need.window else (least, 1e3)
            if not low <= volts <= high:
                return False
        return True

    def feed(self, net: str, volts: float, needs: tuple[Need, ...]) -> None:
        """Holds a level and takes no current; it latches off where it gave more than its limit."""
        node = self.node(net)
        if not self.meets(needs) or node in self.latched:
            return
        self.count += 1
        name = f"{self.tag}{self.count}"
        self.feeds.append((node, f"{name}y"))
        self.lines += [
            f"V{name} {name}x 0 {volts:.9g}",
            f"D{name} {name}x {name}y IDEAL",
            f"R{name} {name}y {node} {FEED}",
        ]

    def converter(self, i: int, e: Converter) -> None:
        change, volts = self.power.change, middle(e.volts)
        if (i, "bottom") in change.loose_ends and e.feedback is not None:
            volts = e.feedback.reference.middle
        if e.command is not None and (
            e.command.by in change.silent | change.mute or not self.meets(e.command.needs)
        ):
            volts = e.command.default.middle
        if e.passes is not None:
            self.count += 1
            inner = f"{self.tag}{self.count}x"
            self.lines += [
                f"D{self.tag}{self.count} {self.node(e.start)} {inner} IDEAL",
                f"V{self.tag}{self.count} {inner} {self.node(e.end)} {e.passes.middle:.6g}",
            ]
        if i not in change.still:
            self.feed(e.end, volts, asked_by(self.power.board, e))

    def path(self, i: int, e: Path) -> None:
        if e.drop is not None:
            self.add("D", e.start, e.end, "SCHOTTKY")
        elif self.meets(e.needs):
            self.add("R", e.start, e.end, f"{max(e.ohms.middle, 1e-3):.6g}")


def simulated(tmp_path, boards: list[Netlist]) -> dict[str, float]:
    lines = ["boards", ".model IDEAL D(IS=1e-13 N=0.02)", ".model SCHOTTKY D(IS=6e-11)"]
    lines += [line for board in boards for line in board.lines]
    lines += [".options temp=27 tnom=27 gmin=1e-12 reltol=1e-6 abstol=1e-12 itl1=5000 numdgt=9"]
    lines += [".control", "op", "print all", ".endc", ".end", ""]
    netlist = tmp_path / "boards.cir"
    netlist.write_text("\n".join(lines), encoding="utf-8")
    ran = subprocess.run(["ngspice", "-b", netlist], capture_output=True, text=True, check=False, timeout=100)
    found = {m[1]: float(m[2]) for m in re.finditer(r"^(\w+)\s+=\s+(\S+)$", ran.stdout, re.M)}
    assert found, ran.stdout[-3000:] + ran.stderr[-3000:]
    return found


def test_both_boards_in_a_simulator(tmp_path):
    predictors = {name: Predictor(board(name), meter()) for name in ("petrel-13", "tern-10")}
    powers = [predictors[name].power(Setup(state), fault) for name, state, fault in CASES]
    found: dict[str, float] = {}
    latched: set[str] = set()
    for _ in range(12):
        before = found
        boards = [Netlist(power, f"k{i}k", before, latched) for i, power in enumerate(powers)]
        found = {name.lower(): volts for name, volts in simulated(tmp_path, boards).items()}
        over = {
            node
            for board in boards
            for node, inside in board.feeds
            if (found[inside] - found[node]) / FEED > LIMIT
        }
        latched |= over
        if not over and all(abs(volts - before.get(name, 0.0)) < 1e-6 for name, volts in found.items()):
            break
    compared = 0
    for (_, state, fault), power, netlist in zip(CASES, powers, boards, strict=True):
        for net in power.board.graph.nets:
            volts = found.get(netlist.node(net))
            level = power.level(net)
            if volts is None or level is None:
                continue
            # 10 Mohm hang on every node at once; what passes a diode drops a little more or less.
            slack = 0.01 + 0.01 * volts
            assert level.low - slack <= volts <= level.high + slack, (state, fault, net, volts, level)
            compared += 1
    assert compared > 500
