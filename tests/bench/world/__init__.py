"""A second world to try the program in: real bends, real rollers, real hits.

Written apart from the program and its own simulator. `shaft`, `rig`, `press` and `kinds` import
numpy alone and share no code with `core`; `loop` and `first_sweep` drive the program through the
interface that the screens and the command line use, and compare what it says with the truth.

From the shell::

    python -m tests.bench.world.run --seed 7 --n 150 --kind zones            shafts to their end
    python -m tests.bench.world.run --seed 7 --n 300 --kind zone8 --first    first sweeps alone
    python -m tests.bench.world.run --seed 7 --n 150 --kind zones --lean     as received only where
                                                                             the next station tells

From Python::

    from tests.bench.world.kinds import KINDS, make
    from tests.bench.world.loop import straighten

    world = make("zones", seed=7, index=0)    # shaft, set-up, press, riding areas
    world.rig().read([3.0, 9.0])              # what the dial shows
    world.shaft.bend_tir_in(x, rollers)       # the truth, 2|e|
    world.shaft.swing_in(x, rollers)          # the truth, full swing of a dial on perfect rollers
    outcome = straighten(world)               # one shaft to its end: hits, reads, verdicts

`kinds.KINDS` names all worlds; `dataclasses.replace` on a `World`, `Setup` or `Press` changes one
thing. Every draw comes from (seed, index), so two versions of the program see the same shafts.

Lengths inches, angles radians, minutes of the bench. Stations, clocks and signs as the program's
users have them: clock fixed to the shaft and rising as marks pass the dial; reading positive =
surface nearer the dial; a bend turns the centre line by a vector.
"""
