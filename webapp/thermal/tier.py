"""One tier as a finite cylinder of cake inside a coat, solved by its thermal modes.

The finite-volume equations of a tier, ``C dT/dt = -K T + G u``, are linear in the equivalent surrounding
temperature ``u`` of its outside. Restricted to the few shapes of temperature that surroundings can bring about in
it, their eigenvectors turn them into independent scalar equations that can be stepped exactly for any ``u`` that is
straight between two times, so long steps stay accurate and nothing has to be factored again when wind, sun or air
change.
"""

from __future__ import annotations

from dataclasses import dataclass
from functools import lru_cache

import numpy as np
from numpy.typing import NDArray

Array = NDArray[np.float64]

# Zones of the outside, each with one surface temperature; the outputs follow in the order of OUTPUTS. An edge reaches
# as far as the coat is thick and _EDGE_CELLS of cake further.
ZONES = ("side", "side edge", "top", "top edge")
OUTPUTS = ("side coat", "top coat", "edge coat", "filling", "core")
# Steady surroundings, and such as grow this many times as fast as its slowest mode fades, bring about the shapes that
# modes are made of: from the length of a party to that of a short step.
PACES = tuple(float(pace) for pace in np.geomspace(1.0, 400.0, 7))
_CAKE_CELLS, _COAT_CELLS = 8, 3
_EDGE_CELLS = 1  # cells of cake that count to the edge: warmer than the rest, they take up dew by the edge's mean
_RATIO = 1.35  # growth of the cake cells away from the coat; other numbers of cells split or join these


@dataclass(frozen=True, slots=True)
class TierBody:
    """Sizes [m], conductivities [W/(m K)] and heat capacities by volume [J/(m3 K)] of one tier."""

    radius: float
    height: float
    coat: float
    cake_conductivity: float
    cake_capacity: float
    coat_conductivity: float
    coat_capacity: float


@dataclass(frozen=True, slots=True, eq=False)
class TierModes:
    """A tier's modes, and how temperatures are read from them.

    ``decay`` [1/s] (m,); ``drive`` (m, zones); ``read`` (zones + outputs, m); ``at_once`` (zones + outputs,
    zones) is the part that follows the surroundings without delay, of the surface alone; ``start`` (m,) is the
    amplitude of 1 °C throughout. ``areas`` [m2] (zones,); ``store`` (m,) reads the heat content [J] above 0 °C.
    """

    film: float
    decay: Array
    drive: Array
    read: Array
    at_once: Array
    start: Array
    areas: Array
    store: Array
    capacity: float


def _cells(length: float, coat: float, cake_cells: int, coat_cells: int) -> Array:
    """Widths [m] from the middle outwards: cake cells that shrink towards the coat, then equal coat cells."""
    cake = _RATIO ** (np.arange(cake_cells, 0, -1) * _CAKE_CELLS / cake_cells)
    return np.concatenate([cake * (length / cake.sum()), np.full(coat_cells, coat / coat_cells)])


@dataclass(frozen=True, slots=True, eq=False)
class _Mesh:
    """Finite volumes of a tier; cells are numbered ``r * nz + z``, r outwards and z upwards."""

    r_edges: Array  # (nr + 1,)
    z_edges: Array  # (nz + 1,)
    volumes: Array  # (nr, nz)
    conductances: Array  # (n, n), symmetric, between cells
    side_areas: Array  # (nz,)
    top_areas: Array  # (nr,)
    side_half: float  # conductance of half an outer cell per area, W/(m2 K)
    top_half: float


def _mesh(body: TierBody, cake_cells: int, coat_cells: int) -> tuple[_Mesh, Array]:
    dr = _cells(body.radius, body.coat, cake_cells, coat_cells)
    dz = _cells(body.height, body.coat, cake_cells, coat_cells)
    edges = np.concatenate([[0.0], np.cumsum(dr)])
    rings = np.pi * np.diff(edges**2)
    nr, nz = len(dr), len(dz)
    in_coat = (np.arange(nr)[:, None] >= cake_cells) | (np.arange(nz)[None, :] >= cake_cells)
    k = np.where(in_coat, body.coat_conductivity, body.cake_conductivity)
    volumes = rings[:, None] * dz[None, :]
    capacity = np.where(in_coat, body.coat_capacity, body.cake_capacity) * volumes
    half_r, half_z = dr[:, None] / (2 * k), dz[None, :] / (2 * k)
    across = 2 * np.pi * edges[1:-1, None] * dz[None, :] / (half_r[:-1] + half_r[1:])
    along = rings[:, None] / (half_z[:, :-1] + half_z[:, 1:])
    index = np.arange(nr * nz).reshape(nr, nz)
    links = np.zeros((nr * nz, nr * nz))
    for left, right, value in ((index[:-1], index[1:], across), (index[:, :-1], index[:, 1:], along)):
        links[left.ravel(), right.ravel()] = value.ravel()
        links[right.ravel(), left.ravel()] = value.ravel()
    mesh = _Mesh(
        r_edges=edges,
        z_edges=np.concatenate([[0.0], np.cumsum(dz)]),
        volumes=volumes,
        conductances=links,
        side_areas=2 * np.pi * edges[-1] * dz,
        top_areas=rings,
        side_half=2 * body.coat_conductivity / dr[-1],
        top_half=2 * body.coat_conductivity / dz[-1],
    )
    return mesh, capacity


@lru_cache(maxsize=512)
def tier_modes(
    body: TierBody,
    film: float,
    *,
    cake_cells: int = _CAKE_CELLS,
    coat_cells: int = _COAT_CELLS,
    paces: tuple[float, ...] | None = PACES,
) -> TierModes:
    """Solve the eigenproblem of a tier whose outside sees its surroundings through ``film`` [W/(m2 K)].

    The bottom is insulated (board). ``paces`` may be other than the usual; with none every shape of the grid is
    kept. Sizes of grid and paces are refined in the tests.

    Notes
    -----
    Conductances are series of half cells; volumes are exact annuli; the surface temperature is eliminated by
    ``g = A / (1/film + dr/2k)``. The shapes are the answers to each zone's surroundings alone where those are steady
    or grow as ``exp(pace t)``, so heat is conserved and what comes in the end is exact. Thirty-two of them come
    nearer to all 121 than the 60 slowest eigenvectors would.

    References
    ----------
    Patankar (1980), Numerical Heat Transfer and Fluid Flow, chapter 4, for the volumes; the modal form is the
    spectral solution of a symmetric-definite pencil, e.g. Golub & Van Loan, section 8.7; the shapes are a rational
    Krylov space, Antoulas (2005), Approximation of Large-Scale Dynamical Systems.
    """
    mesh, capacity = _mesh(body, cake_cells, coat_cells)
    nr, nz = mesh.volumes.shape
    index = np.arange(nr * nz).reshape(nr, nz)
    inner = cake_cells - _EDGE_CELLS * cake_cells // _CAKE_CELLS
    faces = [
        (index[-1, :inner], mesh.side_areas[:inner], mesh.side_half),
        (index[-1, inner:], mesh.side_areas[inner:], mesh.side_half),
        (index[:inner, -1], mesh.top_areas[:inner], mesh.top_half),
        (index[inner:, -1], mesh.top_areas[inner:], mesh.top_half),
    ]
    inflow = np.zeros((nr * nz, len(ZONES)))
    surface = np.zeros((len(ZONES), nr * nz))
    surface_at_once = np.zeros((len(ZONES), len(ZONES)))
    for zone, (cells, areas, half) in enumerate(faces):
        np.add.at(inflow[:, zone], cells, areas / (1 / film + 1 / half))
        surface[zone, cells] = areas / areas.sum() * half / (half + film)
        surface_at_once[zone, zone] = film / (half + film)
    stiffness = np.diag(mesh.conductances.sum(axis=1) + inflow.sum(axis=1)) - mesh.conductances
    root = np.sqrt(capacity.ravel())
    # In these coordinates heat capacity is one, and a temperature the same throughout is ``root``.
    stiff, entry = stiffness / root[:, None] / root[None, :], inflow / root[:, None]
    decay, vectors = np.linalg.eigh(stiff)
    if paces is not None:
        decay, vectors = _restricted(decay, vectors, entry, paces)
    shapes = vectors / root[:, None]
    rows = np.vstack([surface, _outputs(body, mesh)])
    return TierModes(
        film=film,
        decay=decay,
        drive=vectors.T @ entry,
        read=rows @ shapes,
        at_once=np.vstack([surface_at_once, np.zeros((len(OUTPUTS), len(ZONES)))]),
        start=vectors.T @ root,
        areas=np.array([areas.sum() for _, areas, _ in faces]),
        store=capacity.ravel() @ shapes,
        capacity=float(capacity.sum()),
    )


def _restricted(decay: Array, vectors: Array, entry: Array, paces: tuple[float, ...]) -> tuple[Array, Array]:
    """Return the modes within what steady surroundings and growing ones bring about, zone by zone: (m,), (n, m).

    ``paces`` are given in that of the slowest mode. Taken from the modes of the whole grid, each answer is a division.
    """
    grown = decay[0] * np.array((0.0, *paces))
    drive = vectors.T @ entry
    base = np.linalg.qr(np.concatenate([drive / (decay + pace)[:, None] for pace in grown], axis=1))[0]
    slower, turned = np.linalg.eigh(base.T @ (decay[:, None] * base))
    return slower, vectors @ base @ turned


# Where each of OUTPUTS lies, as shares: of the radius inside and out, of the height below and above, each of
# the cake (c) or counted on into the coat (o, from the cake's outside at 0 to the coat's at 1).
_PLACES: tuple[tuple[str, float, float, str, float, float], ...] = (
    ("o", 0.0, 1.0, "c", 0.4, 0.6),
    ("c", 0.0, 0.5, "o", 0.0, 1.0),
    ("o", 0.0, 1.0, "o", 0.0, 1.0),
    ("c", 0.6, 1.0, "c", 0.0, 1.0),
    ("c", 0.0, 0.25, "c", 0.25, 0.75),
)


def _outputs(body: TierBody, mesh: _Mesh) -> Array:
    """Weights over the cells for each of OUTPUTS: volume means over places that do not depend on the grid."""
    rows = []
    for r_part, r_in, r_out, z_part, z_low, z_high in _PLACES:
        r = _span(r_part, r_in, r_out, body.radius, body.coat)
        z = _span(z_part, z_low, z_high, body.height, body.coat)
        rings = np.diff(np.clip(mesh.r_edges, *r) ** 2)
        slabs = np.diff(np.clip(mesh.z_edges, *z))
        weights = rings[:, None] * slabs[None, :]
        rows.append((weights / weights.sum()).ravel())
    return np.stack(rows)


def _span(part: str, start: float, end: float, cake: float, coat: float) -> tuple[float, float]:
    offset, length = (0.0, cake) if part == "c" else (cake, coat)
    return offset + start * length, offset + end * length
