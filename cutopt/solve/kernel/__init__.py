"""Search and proofs for layouts of sheets in compiled code: arrays in, arrays out."""
