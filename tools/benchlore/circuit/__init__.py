"""What a healthy board reads: the laws that set a net, worst case and root-sum-square; the bench calculators.

`derive` computes a measurement's healthy range from the circuit; `leak`, `injection` and `fuse` answer
what a technician asks with a reading in hand. Values are in base units (V, A, ohm, F, s, W, degC) throughout.
"""

from benchlore.circuit.healthy import Derived, Step, derive

__all__ = ["Derived", "Step", "derive"]
