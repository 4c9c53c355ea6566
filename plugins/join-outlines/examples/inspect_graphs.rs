//! Route inspection of graphs from outside: reads a JSON list of graphs from standard input, each
//! a list of edges `[node, node, length]`, and writes for each `[closed, open, odd nodes]`, the
//! lengths of the shortest walks, after checking that they are walks.
//!
//! `cargo run --release -q -p hoopwright-join-outlines --example inspect_graphs < graphs.json`

use hoopwright_join_outlines::inspection::{Edge, Graph, Inspection, Walk, inspect};
use std::error::Error;

fn walked(graph: &Graph, walk: Walk) -> Result<Inspection, Box<dyn Error>> {
    let found = inspect(graph, walk, |_, _| 0.0).ok_or("a graph is not connected")?;
    if !found.exact() {
        return Err("a walk is not proven the shortest".into());
    }
    let edges = graph.edges();
    let mut times = vec![0u64; edges.len()];
    let mut at = None;
    let mut first = None;
    for passage in &found.trail {
        times[passage.edge] += 1;
        let [from, to] = edges[passage.edge].nodes;
        let (from, to) = if passage.forward {
            (from, to)
        } else {
            (to, from)
        };
        if at.is_some_and(|at| at != from) {
            return Err("a walk leaps".into());
        }
        first = first.or(Some(from));
        at = Some(to);
    }
    let long: u64 = times
        .iter()
        .zip(edges)
        .map(|(times, e)| times * e.length)
        .sum();
    if times.contains(&0) || long != graph.length() + found.retraced {
        return Err("a walk misses an edge, or is not as long as it says".into());
    }
    if walk == Walk::Closed && at != first {
        return Err("a closed walk does not come back".into());
    }
    Ok(found)
}

fn main() -> Result<(), Box<dyn Error>> {
    let graphs: Vec<Vec<(usize, usize, u64)>> = serde_json::from_reader(std::io::stdin())?;
    let mut answers = Vec::new();
    for edges in graphs {
        let edges = edges.into_iter();
        let graph = Graph::new(edges.map(|(a, b, l)| Edge::needed([a, b], l)).collect());
        let closed = walked(&graph, Walk::Closed)?;
        let open = walked(&graph, Walk::Open)?;
        answers.push((
            graph.length() + closed.retraced,
            graph.length() + open.retraced,
            closed.odd_nodes,
        ));
    }
    println!("{}", serde_json::to_string(&answers)?);
    Ok(())
}
