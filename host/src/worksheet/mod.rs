//! What the operator needs at the machine.
