"""Order lots so that each comes after those it comes from; lots that come from each other stand together.

Strongly connected components after Tarjan, "Depth-first search and linear graph algorithms", SIAM J. Comput. 1 (1972),
written without recursion so that a long line of generations is no problem.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping


def sources_first(needs: Mapping[int, Collection[int]]) -> list[list[int]]:
    """Groups of nodes, each after every group it needs; a group of more than one is a circle.

    Args:
        needs: for each node, the nodes it needs; all of them keys too.
    """
    index: dict[int, int] = {}
    low: dict[int, int] = {}
    open_nodes: list[int] = []
    groups: list[list[int]] = []
    grouped: set[int] = set()
    for root in sorted(needs):
        if root in index:
            continue
        path: list[tuple[int, Iterator[int]]] = []
        enter = [root]
        while enter or path:
            if enter:
                node = enter.pop()
                index[node] = low[node] = len(index)
                open_nodes.append(node)
                path.append((node, iter(sorted(needs[node]))))
            node, left = path[-1]
            for other in left:
                if other not in index:
                    enter.append(other)
                    break
                if other not in grouped:
                    low[node] = min(low[node], index[other])
            else:
                path.pop()
                if path:
                    low[path[-1][0]] = min(low[path[-1][0]], low[node])
                if low[node] == index[node]:
                    at = open_nodes.index(node)
                    groups.append(sorted(open_nodes[at:]))
                    grouped.update(open_nodes[at:])
                    del open_nodes[at:]
    return groups
