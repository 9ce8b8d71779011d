//! Circles in a graph of arrows between numbered things.

use std::collections::VecDeque;

use crate::span::Span;

/// One thing that points at another, and where that is written.
#[derive(Debug, Clone, Copy)]
pub struct Arrow {
    /// From which.
    pub from: usize,
    /// To which.
    pub to: usize,
    /// Where it is written.
    pub span: Span,
}

/// Circles that together go over every arrow that lies on any circle, each as the indices of its arrows in order.
///
/// A tangle can have more circles than anybody could read. These are shortest ones, each with an arrow that no earlier
/// one had: once they are all cut, none is left of those that were told, and nothing that is on a circle went untold.
pub fn circles(nodes: usize, arrows: &[Arrow]) -> Vec<Vec<usize>> {
    let mut leaving = vec![Vec::new(); nodes];
    for at in on_circles_or_between(nodes, arrows) {
        leaving[arrows[at].from].push(at);
    }
    let mut told = vec![false; arrows.len()];
    let mut circles = Vec::new();
    for at in leaving.iter().flatten() {
        if told[*at] {
            continue;
        }
        if let Some(circle) = shortest_through(*at, arrows, &leaving) {
            circle.iter().for_each(|&at| told[at] = true);
            circles.push(circle);
        }
    }
    circles
}

/// The arrows that are left when things without an arrow in, or without one out, are taken away again and again.
fn on_circles_or_between(nodes: usize, arrows: &[Arrow]) -> Vec<usize> {
    let mut kept: Vec<usize> = (0..arrows.len()).filter(|&at| arrows[at].from < nodes && arrows[at].to < nodes).collect();
    for backwards in [false, true] {
        let end = |arrow: &Arrow| if backwards { (arrow.to, arrow.from) } else { (arrow.from, arrow.to) };
        let mut incoming = vec![0_usize; nodes];
        let mut leaving = vec![Vec::new(); nodes];
        for &at in &kept {
            let (from, to) = end(&arrows[at]);
            incoming[to] += 1;
            leaving[from].push(to);
        }
        let mut free: Vec<usize> = (0..nodes).filter(|&node| incoming[node] == 0).collect();
        while let Some(node) = free.pop() {
            for &to in &leaving[node] {
                incoming[to] -= 1;
                if incoming[to] == 0 {
                    free.push(to);
                }
            }
        }
        kept.retain(|&at| incoming[end(&arrows[at]).0] > 0);
    }
    kept
}

/// The shortest circle that begins with the arrow, if there is one.
fn shortest_through(first: usize, arrows: &[Arrow], leaving: &[Vec<usize>]) -> Option<Vec<usize>> {
    let (start, goal) = (arrows[first].to, arrows[first].from);
    if start == goal {
        return Some(vec![first]);
    }
    let mut reached_by = vec![None; leaving.len()];
    let mut queue = VecDeque::from([start]);
    'search: while let Some(node) = queue.pop_front() {
        for &at in &leaving[node] {
            let to = arrows[at].to;
            if to != start && reached_by[to].is_none() {
                reached_by[to] = Some(at);
                if to == goal {
                    break 'search;
                }
                queue.push_back(to);
            }
        }
    }
    let mut back = Vec::new();
    let mut node = goal;
    while node != start {
        let at = reached_by[node]?;
        back.push(at);
        node = arrows[at].from;
    }
    back.push(first);
    back.reverse();
    Some(back)
}

#[cfg(test)]
mod tests {
    use super::*;

    fn found(nodes: usize, pairs: &[(usize, usize)]) -> Vec<Vec<usize>> {
        let arrows: Vec<Arrow> = pairs.iter().map(|&(from, to)| Arrow { from, to, span: Span::default() }).collect();
        let circles = circles(nodes, &arrows);
        circles.iter().map(|circle| circle.iter().map(|&at| arrows[at].from).collect()).collect()
    }

    #[test]
    fn chains_and_diamonds_are_no_circles() {
        assert!(found(4, &[(0, 1), (0, 2), (1, 3), (2, 3)]).is_empty());
        assert!(found(0, &[]).is_empty());
        assert!(found(2, &[(0, 5), (5, 0)]).is_empty());
    }

    #[test]
    fn each_circle_once() {
        assert_eq!(found(1, &[(0, 0)]), [[0]]);
        assert_eq!(found(4, &[(3, 0), (0, 1), (1, 2), (2, 0)]), [[0, 1, 2]]);
        assert_eq!(found(3, &[(0, 1), (1, 0), (0, 2), (2, 0)]), [[0, 1], [0, 2]]);
        // Two circles with a bridge between them, which is on neither.
        assert_eq!(found(4, &[(0, 1), (1, 0), (1, 2), (2, 3), (3, 2)]), [[0, 1], [2, 3]]);
    }

    #[test]
    fn long_ones_take_no_time_and_no_depth() {
        let many = 100_000;
        let ring: Vec<(usize, usize)> = (0..many).map(|at| (at, (at + 1) % many)).collect();
        assert_eq!(found(many, &ring).len(), 1);
        assert!(found(many, &ring[1..]).is_empty());
    }
}
