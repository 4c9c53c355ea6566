//! A shop's routine, as a file of steps.
