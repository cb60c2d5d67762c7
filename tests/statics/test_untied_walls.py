"""What the walls of a barrel bear when a fire takes their ties: what they would bear without any."""

from timbrel.statics.built_walls import COARSE
from timbrel.statics.carried_length import wall_length
from timbrel.statics.carrying import carry, pushing_hardest
from timbrel.statics.descent import overturning_factor
from timbrel.statics.envelope import envelope
from timbrel.statics.proof import prove
from timbrel.statics.pushes import gather
from timbrel.statics.supports import wall_profile
from timbrel.statics.walls import wall_frame

TIES = {"spacing": 1500, "diameter": 24, "anchor": {"side": 200, "thickness": 25}}
WALL = {"thickness": 700, "height": 2000, "above": 1000}


def walls(**changes):
    return {"left": WALL, "right": {**WALL, "thickness": 500}, **changes}


def fire(carried):
    (section,) = (c for c in carried.checks if c.name == "supports.tie.section")
    return str(section.reason)


def test_bare_walls_bear_what_they_would_without_ties(trial_job, trial_vault):
    tied, untied = trial_job(walls=walls(ties=TIES)), trial_job(walls=walls())
    vault = trial_vault(tied)
    carried = carry(tied, vault, prove(tied, vault))
    station = pushing_hardest(prove(untied, vault))
    frame = wall_frame(vault, station.v, "right")
    pushes = gather(envelope(station.actions, untied.loads), frame, None, 0.0)
    profile = wall_profile(untied.walls.right, "right", wall_length(vault, "right"))
    least = min(
        overturning_factor(profile.coarser(COARSE), pushes.push, i)
        for i in pushes.of("characteristic")
        if pushes.bounds[i] == "least"
    )
    assert 0 < least < 100
    assert f"bears {least:.2f} times" in fire(carried)


def test_until_cured_and_unknown_walls_say_so(trial_job, trial_vault):
    cured = trial_job(walls=walls(ties={**TIES, "stay": "until cured"}))
    vault = trial_vault(cured)
    assert "then it may go" in fire(carry(cured, vault, prove(cured, vault)))
    stated = trial_job(walls=walls(ties=TIES))
    bare = stated.walls.right.model_copy(update={"thickness": None})
    unknown = stated.model_copy(update={"walls": stated.walls.model_copy(update={"right": bare})})
    assert "the tie is clad" in fire(carry(unknown, vault, prove(unknown, vault)))
