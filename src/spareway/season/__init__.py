"""A heating season of one home, minute by minute, many times over: plain numbers in, sums out. No verdict.

home.py    what goes in: the home, its weather, the case, the season of these
draws.py   what chance decides, by counting and not by a stream: any winter, any day, in any order
minute.py  one minute after the other in plain Python; `spareway.fast.season` does the same compiled, equal in every minute
steps.py   what one minute does to a room, a cylinder and a fuse: constants of exact steps
ladder.py  how warm the element of a service fuse gets
gates.py   what the standard of a fuse holds it to, off the tables, for its ladder
sums.py    what is kept of a winter, and what many winters say, with their interval

of_job.py, of_people.py, of_fuse.py   from a stage of a job to these numbers, each a fact (`gathered.py` keeps them)
scenarios.py, of_file.py, outside.py  from a season's file to what happens and what it is like outside
"""
