"""An upper bound by rigid blocks: cut, find the mechanism, prove it afresh.

Where vault and load are their own mirror image half or a quarter is looked at; the other parts move
alike. A mechanism that the program proposes counts only when the check finds it sound, and with the
factor that the check computes.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any, Literal

import numpy as np

from timbrel.job.model import Job
from timbrel.statics.blocks_check import BlockMotion, BlockReport, check_motion
from timbrel.statics.blocks_joints import Joints, joints_of
from timbrel.statics.blocks_loads import owners, pieces_of
from timbrel.statics.blocks_mesh import BlockMesh, Mirror, cut
from timbrel.statics.blocks_program import BlockWork, least_mechanism, most_sinking, work_of
from timbrel.statics.blocks_solid import Array, BlockSolid

# Left to right and near to far; rings and rays of a dome: of a whole vault, of a half, of a quarter.
CELLS = ((8, 8), (8, 8), (12, 12))
RINGS = ((4, 16), (4, 16), (6, 24))
CHECKED = 64  # pieces each way over which the check sums the work (the program: 96)
LOCKED = 1e-4  # N m by newton of the load, at a velocity of one: no motion at all
ALIKE = 1e-5  # m, by which mirrored corners may miss each other
OPEN = 0.02  # share of the widest opening from which a crack is told

Outcome = Literal["found", "locked", "none"]


@dataclass(frozen=True)
class BlockMechanism:
    """A mechanism that was proved.

    kind: for the reader of plan.json. factor: load factor that it bounds. crushes: joints may shut, at
    the strength that the job states. report: of the check.
    cracks: (k, 2, 2) in plan, lines that open; opening: (k,) by the widest. places: (b, 2) middles
    of the blocks in plan and sinks: (b,) how fast each sinks, by the fastest. Mirror images are
    written out.
    """

    kind: Literal["rigid blocks"]
    factor: float
    crushes: bool
    report: BlockReport
    cracks: Array
    opening: Array
    places: Array
    sinks: Array


@dataclass(frozen=True)
class BlockBound:
    """The mechanism, if one was found; locked: no motion of the blocks lets the load sink."""

    outcome: Outcome
    mechanism: BlockMechanism | None


def block_bound(
    job: Job, vault: Any, pattern: str, cells: tuple[int, int] | None = None
) -> BlockBound:
    """The least mechanism of blocks for a pattern of imposed load. cells: even numbers, from left to
    right and from near to far, or rings by rays of a dome (rays a multiple of four)."""
    solid = BlockSolid(vault)
    mirror = mirror_of(solid, pattern)
    mirror_count = int(mirror.near) + int(mirror.left)
    along, across = cells or (RINGS if solid.family == "dome" else CELLS)[mirror_count]
    mesh = cut(solid, along, across, mirror)
    joints = joints_of(solid, mesh)
    nodes = solid.reference(mesh.plan)
    about = nodes[mesh.blocks].mean(axis=1)
    if np.isnan(joints.points).any():
        return BlockBound("none", None)
    parts = pieces_of(job, solid, pattern, mirror)
    if parts.total[1] <= 0:
        return BlockBound("none", None)
    owner = owners(parts.points, solid.eye, nodes, mesh.blocks)
    work = BlockWork(
        work_of(parts.points, parts.dead, owner, about),
        work_of(parts.points, parts.live, owner, about),
    )
    strength = job.masonry.crushing
    found = least_mechanism(joints, about, work, strength)
    if found is None:
        sinks = most_sinking(joints, about, work)
        return BlockBound("locked" if sinks <= LOCKED * parts.total[1] else "none", None)
    move = found.move / np.abs(found.move).max()
    motion = motion_of(solid, mesh, nodes, about, move)
    report = check_motion(job, solid, motion, pieces_of(job, solid, pattern, mirror, CHECKED))
    if not report.sound(strength):
        return BlockBound("none", None)
    return BlockBound(
        "found", _told(mesh, joints, motion, report, mirror, solid, strength is not None)
    )


def mirror_of(solid: BlockSolid, pattern: str) -> Mirror:
    """The halves that stand for the whole of vault and load."""
    near = pattern in ("full", "patch", "half.left", "half.right")
    left = pattern in ("full", "patch", "half.near", "half.far")
    if solid.family == "dome":
        return Mirror(near, left)
    sides = solid.sides()

    def alike(order: tuple[int, ...], axis: int, one: str, two: str) -> bool:
        image = solid.room[list(order)].copy()
        image[:, axis] = solid.room[:, axis].min() + solid.room[:, axis].max() - image[:, axis]
        same = sides[one].ends == sides[two].ends and sides[one].carried == sides[two].carried
        return bool(same and np.abs(image - solid.room).max() < ALIKE)

    return Mirror(
        near and alike((3, 2, 1, 0), 1, "near", "far"),
        left and alike((1, 0, 3, 2), 0, "left", "right"),
    )


def motion_of(
    solid: BlockSolid, mesh: BlockMesh, nodes: Array, about: Array, move: Array
) -> BlockMotion:
    """The motions with all that the check wants to know of the edges."""
    held, outward, mirrors, mirrored = [], [], [], []
    for name, (rim, _) in mesh.rims.items():
        side = mesh.sides[name]
        if side.ends == "mirror":
            mirrors.append(rim)
            mirrored.append(np.tile(side.outward, (len(rim), 1)))
        elif side.carried:
            held.append(rim)
            plumb = 1.0 if side.ends == "plumb" else 0.0
            outward.append(np.tile(side.outward * plumb, (len(rim), 1)))
    seats = [s for s in solid.seats() if s.corner in mesh.corners]
    pairs, ways = np.zeros((0, 2), np.int64), np.zeros((0, 3))
    return BlockMotion(
        nodes,
        mesh.blocks,
        about,
        move,
        np.concatenate([pairs, *held]),
        np.concatenate([ways, *outward]),
        np.concatenate([pairs, *mirrors]),
        np.concatenate([ways, *mirrored]),
        np.array([[s.inner, s.outer] for s in seats]).reshape(-1, 2, 3),
        np.array([mesh.corners[s.corner] for s in seats], np.int64),
    )


def _told(
    mesh: BlockMesh,
    joints: Joints,
    motion: BlockMotion,
    report: BlockReport,
    mirror: Mirror,
    solid: BlockSolid,
    crushes: bool,
) -> BlockMechanism:
    """Cracks and sinking blocks, written out over the whole plan."""
    wide = np.zeros(len(joints))
    for k in range(joints.points.shape[1]):
        at = joints.points[:, k]
        jump = motion.velocity(joints.second, at)
        inner = joints.first >= 0
        jump[inner] -= motion.velocity(joints.first[inner], at[inner])
        jump[joints.mirror] *= 2
        wide = np.maximum(wide, np.einsum("jk,jk->j", jump, joints.normal))
    wide = wide / max(float(wide.max()), 1e-12)
    shown = (wide > OPEN) & (joints.nodes[:, 0] != joints.nodes[:, 1])
    cracks = mesh.plan[joints.nodes[shown]]
    opening = wide[shown]
    places, sinks = motion.about[:, :2], -motion.move[:, 2]
    for axis, on in ((1, mirror.near), (0, mirror.left)):
        if on:
            flip: Array = np.ones(2)
            flip[axis] = -1.0
            shift = 2 * solid.centre * (flip < 0)
            cracks = np.concatenate([cracks, cracks * flip + shift])
            opening = np.concatenate([opening, opening])
            places = np.concatenate([places, places * flip + shift])
            sinks = np.concatenate([sinks, sinks])
    sinks = sinks / max(float(np.abs(sinks).max()), 1e-12)
    return BlockMechanism(
        "rigid blocks", report.factor, crushes, report, cracks, opening, places, sinks
    )
