"""The search among layouts of sheets in compiled code: arrays in, arrays out."""
