"""What fills the papers: plain data out of a judged job, every figure a text already. Formats, never computes."""
