"""What each fault of the book is, as a part and a mode: what its title and text say, for the predictions.

`family: {fault: ((share, Fault), ...)}`; where a record gives two readings their shares, so do the variants.
"""

from benchlore.circuit.graph.change import Fault
from benchlore.circuit.interval import Interval

Variants = tuple[tuple[float, Fault], ...]


def one(part: str, mode: str, at: str = "", to: str = "", *, then: tuple[Fault, ...] = ()) -> Variants:
    return ((1.0, Fault(part, mode, at, to, then=then)),)


def short_or_leak(part: str, at: str, short: float, then: tuple[Fault, ...] = ()) -> Variants:
    shorted = Fault(part, "shorted-to-ground", at, then=then)
    return ((short, shorted), (1 - short, Fault(part, "leaks", at, then=then)))


# A joint that still conducts, with a resistance that nobody can foretell.
def bad_joint(part: str, open_share: float) -> Variants:
    return ((open_share, Fault(part, "loose")), (1 - open_share, Fault(part, "damaged")))


UNDER_LOAD = frozenset({"load"})

CAUSES: dict[str, dict[str, Variants]] = {
    "petrel-13": {
        "backlight-converter-dead": one("U70", "open"),
        "backlight-diode-open": one("D71", "open"),
        "backlight-enable-open": one("R75", "open"),
        "backlight-fuse-open": one("F5", "open"),
        "charger-data-pin-shorted": one("U20", "shorted-to-ground", "PACK_DATA"),
        "charger-does-not-start": one("U20", "open"),
        "clock-hold-capacitor-leaks": one("C34", "leaks"),
        "controller-firmware-lost": one("U30", "content-lost"),
        "controller-pin-shorted-on-pack-data": one("U30", "shorted-to-ground", "PACK_DATA"),
        "core-switch-shorted": one("Q61", "shorted-to-ground", "CORE"),
        "display-connector-corroded": one("J9", "damaged"),
        "display-switch-dead": one("Q72", "open"),
        "five-volt-choke-lifted": one("L51", "open"),
        "gauge-board-holds-pack-data-low": short_or_leak("G1", "PACK_DATA", 0.9),
        "inlet-fuse-open": one("F1", "open"),
        "inlet-jack-cracked": bad_joint("J1", 0.7),
        "keyboard-holds-power-key-low": short_or_leak("K1", "POWER_KEY", 0.7),
        "lid-sensor-leaks": one("S30", "leaks", "LID"),
        "logic-3v3-capacitor-shorted": one("C72", "shorted-to-ground"),
        "main-rail-capacitor-shorted": short_or_leak("C55", "MAIN", 0.8),
        "memory-divider-open": one("R66", "open"),
        "pack-clock-resistor-cracked": one("R44", "open"),
        "pack-connector-corroded": one("J6", "damaged"),
        "pack-connector-data-pin-bent": one("J6", "damaged"),
        "pack-data-pull-up-open": one("R41", "open"),
        "pack-fuse-open": one("F2", "open"),
        "pack-switch-open": bad_joint("Q5", 0.7),
        "port-fuse-open": one("F6", "open"),
        "protection-array-leaks-on-pack-data": one("D12", "leaks", "PACK_DATA"),
        "reset-supervisor-holds-low": one("U33", "stuck", "RESET"),
        "slow-clock-crystal-cracked": bad_joint("Y30", 0.6),
        "standby-capacitor-shorted": one("C61", "shorted-to-ground"),
        "standby-capacitor-worn-out": one("C62", "worn"),
        "standby-converter-dead": one("U40", "open"),
        "thermistor-pull-up-cracked": one("R35", "open"),
    },
    "tern-10": {
        "buck-boost-dead": one("U85", "open"),
        "cc1-protection-shorted": one("D81", "shorted-to-ground", "CC1"),
        "cc1-pull-down-open": one("R81", "open"),
        "cc2-contact-burnt": ((1.0, Fault("J80", "open", "CC2")),),
        "cell-connector-corroded": one("J85", "damaged"),
        "cell-connector-lifted": bad_joint("J85", 0.6),
        "cell-fuse-open": one("F85", "open"),
        "cell-thermistor-contact-open": ((1.0, Fault("B1", "open", "CELL_TEMP")),),
        "cell-worn-out": one("B1", "worn"),
        "charger-data-pin-shorted": one("U82", "shorted-to-ground", "MGMT_DATA"),
        "charger-dead": one("U82", "open"),
        "core-capacitor-shorted": short_or_leak("C88", "CPU", 0.7),
        "display-connector-sprung-open": one("J87", "damaged"),
        "display-shorts-its-supply": short_or_leak("P82", "DISPLAY_1V8", 0.7),
        "force-off-capacitor-worn-out": one("C89", "worn"),
        "key-flex-shorted": short_or_leak("K81", "KEY", 0.8),
        "light-choke-open": one("L93", "open"),
        "light-converter-dead": one("U86", "open"),
        "management-clock-pull-up-open": one("R92", "open"),
        "management-pull-up-open": one("R91", "open"),
        "memory-choke-cracked": bad_joint("L87", 0.3),
        "memory-joint-cracked": one("U88", "loose"),
        "motion-sensor-shorts-bus": short_or_leak("U87", "SENSE_DATA", 0.8),
        "overvoltage-switch-open": bad_joint("U81", 0.8),
        "pack-gauge-holds-bus-low": ((1.0, Fault("B1", "shorted-to-ground", "MGMT_DATA")),),
        "power-manager-dead": one("U83", "open"),
        "processor-data-pin-shorted": one("U80", "shorted-to-ground", "MGMT_DATA"),
        "receptacle-worn-out": bad_joint("J80", 0.8),
        "sensor-ferrite-open": one("L92", "open"),
        "slow-clock-crystal-cracked": bad_joint("Y81", 0.4),
        "system-capacitor-leaks": ((1.0, Fault("C86", "leaks", value=Interval(20.0, 100.0))),),
        "system-capacitor-shorted": short_or_leak("C84", "SYSTEM", 0.8),
        "touch-connector-dirty": one("J86", "damaged"),
        "touch-panel-holds-data-low": short_or_leak("P81", "TOUCH_DATA", 0.8),
        "touch-switch-dead": one("Q86", "open"),
    },
}
