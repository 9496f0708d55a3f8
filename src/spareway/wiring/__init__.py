"""The wired record: what metal joins, what a load passes on, the fewest things to open. It gives no verdict."""
