"""Drawings, as SVG text. They show what was worked out elsewhere, and work out nothing."""
