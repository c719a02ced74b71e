"""Files -> Job. Tables and settings in, frozen data out, all faults at once."""
