"""Compares the walks of join-outlines with route inspection by networkx, on planar graphs.

    python inspection.py

200 connected planar graphs with up to 40 odd nodes, always the same: grids with edges left out,
triangulations of random points with edges left out, trees, and rings of rings, with random whole
lengths. networkx says that each is planar, how long its shortest paths are, and which pairing of
its odd nodes is lightest (Edmonds' blossom algorithm, its own implementation); the walk's length
follows from that (J. Edmonds and E. L. Johnson, Mathematical Programming 5 (1973) 88-124). The
step's own crate reckons the same graphs in an example, and checks that each walk is one.

Any difference ends this with an error.
"""

import collections
import json
import pathlib
import random
import subprocess
import sys
import time

import networkx as nx

ROOT = pathlib.Path(__file__).resolve().parents[2]
EXAMPLE = ["cargo", "run", "--release", "--locked", "-q", "-p", "hoopwright-join-outlines"]
EXAMPLE += ["--example", "inspect_graphs"]
COUNT = 200
MOST_ODD = 40


def grid(rng):
    """A grid of squares."""
    return nx.convert_node_labels_to_integers(
        nx.grid_2d_graph(rng.randint(2, 12), rng.randint(2, 12))
    )


def triangulation(rng):
    """Triangles between random points: the shortest straight edges that cross no other."""
    points = [(rng.random(), rng.random()) for _ in range(rng.randint(4, 80))]

    def length(edge):
        (ax, ay), (bx, by) = (points[node] for node in edge)
        return (ax - bx) ** 2 + (ay - by) ** 2

    def left(a, b, c):
        (ax, ay), (bx, by), (cx, cy) = points[a], points[b], points[c]
        return (bx - ax) * (cy - ay) - (by - ay) * (cx - ax) > 0

    def cross(e, f):
        if set(e) & set(f):
            return False
        return left(*e, f[0]) != left(*e, f[1]) and left(*f, e[0]) != left(*f, e[1])

    pairs = [(a, b) for b in range(len(points)) for a in range(b)]
    edges = []
    for edge in sorted(pairs, key=length):
        if not any(cross(edge, other) for other in edges):
            edges.append(edge)
    return nx.Graph(edges)


def tree(rng):
    """A tree, in which a closed walk must pass each edge twice."""
    nodes = rng.randint(2, 70)
    return nx.Graph([(rng.randrange(node), node) for node in range(1, nodes)])


def rings(rng):
    """Rings that hang on each other by single nodes, some with a bridge in between."""
    graph = nx.Graph()
    at = 0
    for _ in range(rng.randint(1, 30)):
        size = rng.randint(3, 7)
        first = graph.number_of_nodes() or 1
        nodes = [at] + list(range(first, first + size - 1))
        nx.add_cycle(graph, nodes)
        if rng.random() < 0.5:
            bridge = graph.number_of_nodes()
            graph.add_edge(rng.choice(nodes), bridge)
        at = rng.choice(list(graph.nodes))
    return nx.convert_node_labels_to_integers(graph)


def thinned(graph, rng):
    """The largest connected rest of a graph after leaving out some edges."""
    share = rng.choice([0.0, 0.1, 0.3, 0.5])
    graph = graph.edge_subgraph([e for e in graph.edges if rng.random() >= share])
    if graph.number_of_edges() == 0:
        return None
    largest = max(nx.connected_components(graph), key=lambda nodes: (len(nodes), min(nodes)))
    return nx.convert_node_labels_to_integers(nx.Graph(graph.subgraph(largest)))


def graphs():
    rng = random.Random(1973)
    kinds = [grid, triangulation, tree, rings]
    found = []
    while len(found) < COUNT:
        kind = kinds[len(found) % len(kinds)]
        graph = thinned(kind(rng), rng)
        if graph is None or len(odd_nodes(graph)) > MOST_ODD:
            continue
        assert nx.check_planarity(graph)[0] and nx.is_connected(graph)
        longest = rng.choice([1, 9, 1000, 10**6])
        for _, _, edge in graph.edges(data=True):
            edge["length"] = rng.randint(1, longest)
        found.append((kind.__name__, graph))
    return found


def odd_nodes(graph):
    return [node for node, degree in graph.degree if degree % 2]


def optimum(graph):
    """The lengths of the shortest closed and open walks along every edge."""
    total = sum(length for _, _, length in graph.edges(data="length"))
    odd = odd_nodes(graph)
    apart = {node: nx.single_source_dijkstra_path_length(graph, node, weight="length") for node in odd}
    between = nx.Graph()
    between.add_nodes_from(odd)
    for place, a in enumerate(odd):
        for b in odd[:place]:
            between.add_edge(a, b, weight=apart[a][b])

    def lightest(pairs_of):
        pairs = nx.min_weight_matching(pairs_of)
        assert 2 * len(pairs) == pairs_of.number_of_nodes(), "a node is left over"
        return sum(pairs_of.edges[pair]["weight"] for pair in pairs)

    if not odd:
        return total, total
    closed = total + lightest(between)
    # An open walk leaves the best pair out: two more nodes that cost nothing beside any odd node,
    # and are not joined to each other.
    for extra in ("one end", "other end"):
        for node in odd:
            between.add_edge(extra, node, weight=0)
    return closed, total + lightest(between)


def main():
    start = time.monotonic()
    cases = graphs()
    given = [
        [[a, b, length] for a, b, length in graph.edges(data="length")] for _, graph in cases
    ]
    run = subprocess.run(
        EXAMPLE, cwd=ROOT, input=json.dumps(given), capture_output=True, text=True, check=False
    )
    if run.returncode:
        sys.exit(f"the example failed:\n{run.stderr}")
    answers = json.loads(run.stdout)
    if len(answers) != len(cases):
        sys.exit(f"{len(cases)} graphs were given, {len(answers)} answers came")
    wrong = 0
    odd_counts = collections.Counter()
    edges = []
    for number, ((kind, graph), answer) in enumerate(zip(cases, answers)):
        odd = len(odd_nodes(graph))
        expected = [*optimum(graph), odd]
        odd_counts[min(odd // 10 * 10, 30)] += 1
        edges.append(graph.number_of_edges())
        if answer != expected:
            wrong += 1
            print(f"graph {number} ({kind}): {answer}, but networkx says {expected}")
    spread = ", ".join(
        f"{odd_counts[least]} with {least} to {'40' if least == 30 else least + 9}"
        for least in sorted(odd_counts)
    )
    edges.sort()
    print(f"{len(cases)} planar graphs of {edges[0]} to {edges[-1]} edges (median {edges[COUNT // 2]})")
    print(f"odd nodes: {spread}")
    print(f"closed and open walks that differ from networkx {nx.__version__}: {wrong}")
    print(f"took {time.monotonic() - start:.1f} s")
    if wrong:
        sys.exit(1)


if __name__ == "__main__":
    main()
