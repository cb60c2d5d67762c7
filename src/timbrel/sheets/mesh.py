"""A body as triangles, and how it is written: STL for print shops, glTF for viewers."""

from __future__ import annotations

import json
import struct
from collections.abc import Sequence
from dataclasses import dataclass
from typing import Any

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]
Ints = NDArray[np.int64]

GLTF_MAGIC, JSON_CHUNK, BINARY_CHUNK = 0x46546C67, 0x4E4F534A, 0x004E4942
"""glTF 2.0 (ISO/IEC 12113:2022), 4.4: binary glTF layout."""
UNSIGNED_BYTE, UNSIGNED_INT, FLOAT = 5121, 5125, 5126
VERTICES, INDICES = 34962, 34963
"""glTF 2.0, 5.1.3 and 5.11.5: component types and targets of buffer views."""


@dataclass(frozen=True)
class Mesh:
    """points (n, 3); faces (m, 3), each anticlockwise seen from outside."""

    points: Floats
    faces: Ints

    @property
    def volume(self) -> float:
        """Volume of the closed body, negative when it is inside out (divergence theorem)."""
        a, b, c = (self.points[self.faces[:, i]] for i in range(3))
        return float(np.einsum("ij,ij->", a, np.cross(b, c)) / 6)

    def outward(self) -> Mesh:
        """The same body with its faces seen from outside."""
        return Mesh(self.points, self.faces[:, ::-1]) if self.volume < 0 else self


def joined(meshes: Sequence[Mesh]) -> Mesh:
    """Several bodies as one mesh."""
    first = np.cumsum([0, *(len(mesh.points) for mesh in meshes[:-1])])
    faces = [mesh.faces + start for mesh, start in zip(meshes, first, strict=True)]
    return Mesh(np.concatenate([mesh.points for mesh in meshes]), np.concatenate(faces))


def stl(mesh: Mesh, scale: float = 1.0) -> bytes:
    """Binary STL: 80 bytes of head, the count, and 50 bytes a triangle: normal, corners, 0."""
    corners = (mesh.points * scale)[mesh.faces]
    normal = np.cross(corners[:, 1] - corners[:, 0], corners[:, 2] - corners[:, 0])
    size = np.linalg.norm(normal, axis=1, keepdims=True)
    # A face without area has no normal; readers then take it from the corners.
    normal = np.divide(normal, size, out=np.zeros_like(normal), where=size > 0)
    records = np.zeros(
        len(corners), dtype=[("normal", "<f4", 3), ("corners", "<f4", (3, 3)), ("none", "<u2")]
    )
    records["normal"], records["corners"] = normal, corners
    return b"timbrel".ljust(80) + struct.pack("<I", len(records)) + records.tobytes()


@dataclass(frozen=True)
class Part:
    """One named body of a model. inks: red, green, blue (0 to 255, sRGB) of each point (n, 3).
    extras: what else a viewer shall know of it."""

    group: str
    name: str
    mesh: Mesh
    inks: Floats
    extras: dict[str, Any]


def glb(parts: Sequence[Part]) -> bytes:
    """Binary glTF 2.0: a node a part under a node a group. Our z is up, glTF's is y (3.2)."""
    points = np.concatenate([part.mesh.points for part in parts]).astype("<f4")
    faces = np.concatenate([part.mesh.faces for part in parts]).astype("<u4")
    inks = np.full((len(points), 4), 255, dtype=np.uint8)
    inks[:, :3] = np.round(linear_light(np.concatenate([part.inks for part in parts])) * 255)
    accessors: list[dict[str, Any]] = []
    meshes = []
    point, face = 0, 0
    for part in parts:
        count, triangles = len(part.mesh.points), len(part.mesh.faces)
        own = points[point : point + count]
        at = len(accessors)
        accessors += [
            {"bufferView": 0, "byteOffset": 12 * face, "componentType": UNSIGNED_INT,
             "count": 3 * triangles, "type": "SCALAR"},
            {"bufferView": 1, "byteOffset": 12 * point, "componentType": FLOAT, "count": count,
             "type": "VEC3", "min": own.min(axis=0).tolist(), "max": own.max(axis=0).tolist()},
            {"bufferView": 2, "byteOffset": 4 * point, "componentType": UNSIGNED_BYTE,
             "normalized": True, "count": count, "type": "VEC4"},
        ]  # fmt: skip
        primitive = {
            "attributes": {"POSITION": at + 1, "COLOR_0": at + 2},
            "indices": at,
            "material": 0,
        }
        meshes.append({"name": part.name, "primitives": [primitive], "extras": part.extras})
        point, face = point + count, face + triangles
    blocks = (faces.tobytes(), points.tobytes(), inks.tobytes())
    head = {
        "asset": {"version": "2.0", "generator": "timbrel"},
        **_tree(parts),
        "meshes": meshes,
        "materials": [
            {"name": "tile", "pbrMetallicRoughness": {"metallicFactor": 0, "roughnessFactor": 0.9}}
        ],
        "accessors": accessors,
        "bufferViews": _views(blocks),
        "buffers": [{"byteLength": sum(map(len, blocks))}],
    }
    return _binary(head, b"".join(blocks))


def linear_light(inks: Floats) -> Floats:
    """Shares of light of sRGB inks (0 to 255): what glTF wants of a vertex (3.9.2).
    IEC 61966-2-1:1999."""
    share = np.asarray(inks, dtype=float) / 255
    return np.where(share <= 0.04045, share / 12.92, ((share + 0.055) / 1.055) ** 2.4)


def _tree(parts: Sequence[Part]) -> dict[str, Any]:
    """Scene and nodes: the groups in their order, under each its parts."""
    groups = list(dict.fromkeys(part.group for part in parts))
    nodes: list[dict[str, Any]] = [{"name": part.name, "mesh": i} for i, part in enumerate(parts)]
    for group in groups:
        mine = [i for i, part in enumerate(parts) if part.group == group]
        nodes.append({"name": group, "children": mine})
    upright = [1, 0, 0, 0, 0, 0, -1, 0, 0, 1, 0, 0, 0, 0, 0, 1]
    roots = list(range(len(parts), len(nodes)))
    nodes.append({"name": "vault", "matrix": upright, "children": roots})
    return {"scene": 0, "scenes": [{"nodes": [len(nodes) - 1]}], "nodes": nodes}


def _views(blocks: tuple[bytes, bytes, bytes]) -> list[dict[str, Any]]:
    views: list[dict[str, Any]] = []
    start = 0
    for block, stride in zip(blocks, (None, 12, 4), strict=True):
        view: dict[str, Any] = {"buffer": 0, "byteOffset": start, "byteLength": len(block)}
        view |= {"target": INDICES} if stride is None else {"target": VERTICES}
        views.append(view if stride is None else view | {"byteStride": stride})
        start += len(block)
    return views


def _binary(head: dict[str, Any], body: bytes) -> bytes:
    """Head and body as two chunks; each is filled up to whole fours of bytes (4.4.3)."""
    text = json.dumps(head, ensure_ascii=False, allow_nan=False, separators=(",", ":")).encode()
    text += b" " * (-len(text) % 4)
    body += b"\0" * (-len(body) % 4)
    chunks = struct.pack("<II", len(text), JSON_CHUNK) + text
    chunks += struct.pack("<II", len(body), BINARY_CHUNK) + body
    return struct.pack("<III", GLTF_MAGIC, 2, 12 + len(chunks)) + chunks
