"""Bodies as triangles, read back by a library that did not write them.

Source: glTF 2.0 (ISO/IEC 12113:2022) for the layout and for light of vertex colours; the layout of
binary STL is common practice, no source.
"""

from __future__ import annotations

import io
import json
import struct

import numpy as np
import pytest
import trimesh

from timbrel.sheets.mesh import Mesh, Part, glb, joined, linear_light, stl

BOX = trimesh.creation.box((2.0, 3.0, 4.0))
MESH = Mesh(np.asarray(BOX.vertices), np.asarray(BOX.faces))


def _part(group: str, name: str, mesh: Mesh, ink: float) -> Part:
    return Part(group, name, mesh, np.full((len(mesh.points), 3), ink), {"tiles": [name]})


def test_volume_of_a_box_and_of_one_turned_inside_out() -> None:
    assert MESH.volume == pytest.approx(24.0)
    inside_out = Mesh(MESH.points, MESH.faces[:, ::-1])
    assert inside_out.volume == pytest.approx(-24.0)
    assert inside_out.outward().volume == pytest.approx(24.0)
    assert MESH.outward() is MESH


def test_bodies_joined_keep_their_own_corners() -> None:
    far = Mesh(MESH.points + np.array([10.0, 0, 0]), MESH.faces)
    both = joined([MESH, far, MESH])
    assert both.volume == pytest.approx(72.0)
    assert both.points[both.faces[12:24]].min() == pytest.approx(-2.0)
    assert both.points[both.faces[12:24], 0].min() == pytest.approx(9.0)


def test_stl_comes_back_with_its_scale_and_its_normals() -> None:
    raw = stl(MESH, 1000.0)
    assert len(raw) == 84 + 50 * 12
    read = trimesh.load(io.BytesIO(raw), file_type="stl")
    assert read.volume == pytest.approx(24e9, rel=1e-6)
    first = np.frombuffer(raw[84:96], "<f4")
    corners = np.frombuffer(raw[96:132], "<f4").reshape(3, 3)
    # A face of a box about the origin: its normal looks the way its middle lies.
    assert np.linalg.norm(first) == pytest.approx(1.0)
    assert float(first @ corners.mean(axis=0)) > 0
    assert np.ptp(corners @ first) == pytest.approx(0.0, abs=1e-3)


def test_a_face_without_area_gets_no_normal() -> None:
    flat = Mesh(np.zeros((3, 3)), np.array([[0, 1, 2]]))
    assert np.isfinite(np.frombuffer(stl(flat)[84:96], "<f4")).all()


def test_glb_comes_back_upright_with_names_and_extras() -> None:
    parts = [
        _part("one", "a", MESH, 255),
        _part("two", "b", Mesh(MESH.points + np.array([0, 0, 9.0]), MESH.faces), 0),
        _part("one", "c", MESH, 128),
    ]
    raw = glb(parts)
    scene = trimesh.load(io.BytesIO(raw), file_type="glb")
    assert set(scene.graph.nodes_geometry) == {"a", "b", "c"}
    assert scene.graph.transforms.parents["b"] == "two"
    assert scene.graph.transforms.parents["c"] == "one"
    turned, name = scene.graph["b"]
    mesh = scene.geometry[name]
    assert mesh.volume == pytest.approx(24.0, rel=1e-6)
    assert mesh.metadata["tiles"] == ["b"]
    upright = trimesh.transform_points(mesh.vertices, turned)
    assert upright[:, 1].max() == pytest.approx(11.0)
    assert upright[:, 2].max() == pytest.approx(1.5)
    for key, ink in (("a", 255), ("b", 0)):
        inks = scene.geometry[key].visual.vertex_attributes["color"]
        assert (inks[:, :3] == ink).all() and (inks[:, 3] == 255).all()


def test_glb_keeps_to_the_layout() -> None:
    """glTF 2.0, 4.4: whole fours of bytes, lengths that add up; 3.6.2.4: offsets are whole fours."""
    raw = glb([_part("g", "é", MESH, 10)])
    magic, version, length = struct.unpack("<4sII", raw[:12])
    assert (magic, version, length) == (b"glTF", 2, len(raw))
    size, kind = struct.unpack("<I4s", raw[12:20])
    assert kind == b"JSON" and size % 4 == 0
    head = json.loads(raw[20 : 20 + size])
    body, kind = struct.unpack("<I4s", raw[20 + size : 28 + size])
    assert kind == b"BIN\0" and body % 4 == 0 and 28 + size + body == len(raw)
    ends = [view["byteOffset"] + view["byteLength"] for view in head["bufferViews"]]
    assert ends[-1] == head["buffers"][0]["byteLength"] == body
    assert all(a["byteOffset"] % 4 == 0 for a in head["accessors"])


def test_light_of_inks() -> None:
    """Middle grey, 187 of 255, is half the light (IEC 61966-2-1: 0.4969, from memory)."""
    assert linear_light(np.array([0.0, 187.0, 255.0])) == pytest.approx([0.0, 0.497, 1.0], abs=5e-4)
    assert linear_light(np.array([10.0]))[0] == pytest.approx(10 / 255 / 12.92)
