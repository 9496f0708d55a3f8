"""A heating season of one home, minute by minute, many times over: plain numbers in, sums out. No job, no table, no verdict.

home.py    what goes in: the home, its weather, the case, the season of these
draws.py   what chance decides, by counting and not by a stream: any winter, any day, in any order
minute.py  one minute after the other in plain Python; `spareway.fast.season` does the same compiled, equal in every minute
ladder.py  how warm the element of a service fuse gets
sums.py    what is kept of a winter, and what many winters say, with their interval
"""
