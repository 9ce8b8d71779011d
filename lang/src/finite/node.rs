//! Conditions made ready to run: every `not` carried in to its single tests, every quantifier written out over
//! its places, every test a small table over the cells of the looks it reads.

/// A variable of a layout, by index.
pub type VariableId = u32;
/// A test of a layout, by index.
pub type AtomId = u32;
/// A finding at one place of a layout, by index.
pub type InstanceId = u32;

/// A set of cells of one variable, one bit each.
pub type CellSet = u128;

/// The most cells one variable can have.
pub const MOST_CELLS: usize = 128;

/// A condition over cases. After negation has been carried in, all logic in it is classical.
#[derive(Debug, Clone, PartialEq)]
pub enum Node {
    /// Always or never.
    Constant(bool),
    /// Every one of them.
    All(Vec<Node>),
    /// One of them or more.
    Any(Vec<Node>),
    /// That many of them or more.
    AtLeast(u32, Vec<Node>),
    /// The plain opposite, for what only asks whether its condition is met.
    Unmet(Box<Node>),
    /// The test is met.
    Met(AtomId),
    /// The opposite of the test is met.
    Opposite(AtomId),
    /// The finding holds at its place.
    Holds(InstanceId),
}

impl Node {
    /// `All`, flattened and with constants folded.
    pub fn all(nodes: impl IntoIterator<Item = Node>) -> Node {
        let mut kept = Vec::new();
        for node in nodes {
            match node {
                Node::Constant(true) => {}
                Node::Constant(false) => return Node::Constant(false),
                Node::All(inner) => kept.extend(inner),
                node => kept.push(node),
            }
        }
        match kept.len() {
            0 => Node::Constant(true),
            1 => kept.swap_remove(0),
            _ => Node::All(kept),
        }
    }

    /// `Any`, flattened and with constants folded.
    pub fn any(nodes: impl IntoIterator<Item = Node>) -> Node {
        let mut kept = Vec::new();
        for node in nodes {
            match node {
                Node::Constant(false) => {}
                Node::Constant(true) => return Node::Constant(true),
                Node::Any(inner) => kept.extend(inner),
                node => kept.push(node),
            }
        }
        match kept.len() {
            0 => Node::Constant(false),
            1 => kept.swap_remove(0),
            _ => Node::Any(kept),
        }
    }

    /// `AtLeast`, with constants folded.
    pub fn at_least(count: u32, nodes: impl IntoIterator<Item = Node>) -> Node {
        let mut wanted = count;
        let mut kept = Vec::new();
        for node in nodes {
            match node {
                Node::Constant(false) => {}
                Node::Constant(true) => wanted = wanted.saturating_sub(1),
                node => kept.push(node),
            }
        }
        match wanted {
            0 => Node::Constant(true),
            _ if wanted as usize > kept.len() => Node::Constant(false),
            1 => Node::any(kept),
            _ if wanted as usize == kept.len() => Node::all(kept),
            _ => Node::AtLeast(wanted, kept),
        }
    }

    /// The plain opposite, with constants folded.
    pub fn unmet(node: Node) -> Node {
        match node {
            Node::Constant(value) => Node::Constant(!value),
            Node::Unmet(inner) => *inner,
            node => Node::Unmet(Box::new(node)),
        }
    }

    /// Calls `test` for each test and `holds` for each finding in it.
    pub fn visit(&self, test: &mut impl FnMut(AtomId), holds: &mut impl FnMut(InstanceId)) {
        match self {
            Node::Constant(_) => {}
            Node::All(nodes) | Node::Any(nodes) | Node::AtLeast(_, nodes) => {
                for node in nodes {
                    node.visit(test, holds);
                }
            }
            Node::Unmet(node) => node.visit(test, holds),
            Node::Met(atom) | Node::Opposite(atom) => test(*atom),
            Node::Holds(instance) => holds(*instance),
        }
    }

    /// Adds the variables that its tests read to `into`, as often as they are read; findings in it are not looked into.
    pub fn variables(&self, atoms: &[Atom], into: &mut Vec<VariableId>) {
        self.visit(&mut |atom| into.extend(atoms[atom as usize].variables.iter().map(|(variable, _)| *variable)), &mut |_| {});
    }

    /// Adds the findings in it to `into`, as often as they are named.
    pub fn findings(&self, into: &mut Vec<InstanceId>) {
        self.visit(&mut |_| {}, &mut |instance| into.push(instance));
    }

    /// The same condition for cases within these sets, with what they decide folded away.
    pub fn within(&self, atoms: &[Atom], sets: &[CellSet], holds: &[Bounds]) -> Node {
        let bounds = self.bounds(atoms, sets, holds);
        if bounds.surely {
            return Node::Constant(true);
        }
        if !bounds.possibly {
            return Node::Constant(false);
        }
        let inner = |nodes: &[Node]| nodes.iter().map(|node| node.within(atoms, sets, holds)).collect::<Vec<_>>();
        match self {
            Node::All(nodes) => Node::all(inner(nodes)),
            Node::Any(nodes) => Node::any(inner(nodes)),
            Node::AtLeast(count, nodes) => Node::at_least(*count, inner(nodes)),
            Node::Unmet(node) => Node::unmet(node.within(atoms, sets, holds)),
            Node::Constant(_) | Node::Met(_) | Node::Opposite(_) | Node::Holds(_) => self.clone(),
        }
    }

    /// Calls `tell` for each test on which it still hangs: those that it has [`within`](Self::within) these sets.
    pub fn hanging(&self, atoms: &[Atom], sets: &[CellSet], holds: &[Bounds], tell: &mut impl FnMut(AtomId)) {
        let bounds = self.bounds(atoms, sets, holds);
        if bounds.surely == bounds.possibly {
            return;
        }
        match self {
            Node::All(nodes) | Node::Any(nodes) | Node::AtLeast(_, nodes) => {
                nodes.iter().for_each(|node| node.hanging(atoms, sets, holds, tell));
            }
            Node::Unmet(node) => node.hanging(atoms, sets, holds, tell),
            Node::Met(atom) | Node::Opposite(atom) => tell(*atom),
            Node::Constant(_) | Node::Holds(_) => {}
        }
    }

    /// Whether it is met in one case.
    pub fn met(&self, atoms: &[Atom], case: &[u8], holds: &[bool]) -> bool {
        match self {
            Node::Constant(value) => *value,
            Node::All(nodes) => nodes.iter().all(|node| node.met(atoms, case, holds)),
            Node::Any(nodes) => nodes.iter().any(|node| node.met(atoms, case, holds)),
            Node::AtLeast(count, nodes) => {
                nodes.iter().filter(|node| node.met(atoms, case, holds)).take(*count as usize).count() == *count as usize
            }
            Node::Unmet(node) => !node.met(atoms, case, holds),
            Node::Met(atom) => atoms[*atom as usize].at(case) == Answer::Met,
            Node::Opposite(atom) => atoms[*atom as usize].at(case) == Answer::Opposite,
            Node::Holds(instance) => holds[*instance as usize],
        }
    }

    /// Whether it is surely met, and whether it can be, by looking at each test alone. Both are on the safe side:
    /// what is surely met is met in every case, and what cannot be met is met in none.
    pub fn bounds(&self, atoms: &[Atom], sets: &[CellSet], holds: &[Bounds]) -> Bounds {
        match self {
            Node::Constant(value) => Bounds { surely: *value, possibly: *value },
            Node::All(nodes) => {
                let mut result = Bounds { surely: true, possibly: true };
                for node in nodes {
                    let bounds = node.bounds(atoms, sets, holds);
                    result.surely &= bounds.surely;
                    result.possibly &= bounds.possibly;
                    if !result.possibly {
                        break;
                    }
                }
                result
            }
            Node::Any(nodes) => {
                let mut result = Bounds { surely: false, possibly: false };
                for node in nodes {
                    let bounds = node.bounds(atoms, sets, holds);
                    result.surely |= bounds.surely;
                    result.possibly |= bounds.possibly;
                    if result.surely {
                        break;
                    }
                }
                result
            }
            Node::AtLeast(count, nodes) => {
                let (mut surely, mut possibly) = (0, 0);
                for node in nodes {
                    let bounds = node.bounds(atoms, sets, holds);
                    surely += u32::from(bounds.surely);
                    possibly += u32::from(bounds.possibly);
                }
                Bounds { surely: surely >= *count, possibly: possibly >= *count }
            }
            Node::Unmet(node) => {
                let bounds = node.bounds(atoms, sets, holds);
                Bounds { surely: !bounds.possibly, possibly: !bounds.surely }
            }
            Node::Met(atom) => atoms[*atom as usize].bounds(sets, Answer::Met),
            Node::Opposite(atom) => atoms[*atom as usize].bounds(sets, Answer::Opposite),
            Node::Holds(instance) => holds[*instance as usize],
        }
    }
}

/// What is known without looking at every case.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Bounds {
    /// Met in every case.
    pub surely: bool,
    /// Met in some case.
    pub possibly: bool,
}

/// How a test comes out in a case, once all it reads applies.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
#[repr(u8)]
pub enum Answer {
    /// The test is met.
    Met,
    /// Its opposite is met.
    Opposite,
    /// It has no value.
    Neither,
}

/// A single test: its answer for every combination of cells of the variables it reads.
#[derive(Debug, Clone, PartialEq)]
pub struct Atom {
    /// The variables, and by how much one cell more moves along the table.
    pub variables: Vec<(VariableId, u32)>,
    /// The answers.
    pub answers: Vec<Answer>,
}

impl Atom {
    /// The answer in one case.
    pub fn at(&self, case: &[u8]) -> Answer {
        let at: u32 = self.variables.iter().map(|(variable, stride)| u32::from(case[*variable as usize]) * stride).sum();
        self.answers[at as usize]
    }

    /// Whether it surely and whether it possibly comes out as `wanted`.
    pub fn bounds(&self, sets: &[CellSet], wanted: Answer) -> Bounds {
        let mut result = Bounds { surely: true, possibly: false };
        if let [(variable, 1)] = self.variables[..] {
            // Most tests read one look, and are told as soon as they can be both.
            let mut set = sets[variable as usize];
            while set != 0 && (result.surely || !result.possibly) {
                let met = self.answers[set.trailing_zeros() as usize] == wanted;
                set &= set - 1;
                result.surely &= met;
                result.possibly |= met;
            }
            return result;
        }
        self.each(sets, 0, 0, &mut |answer| {
            result.surely &= answer == wanted;
            result.possibly |= answer == wanted;
        });
        result
    }

    fn each(&self, sets: &[CellSet], depth: usize, at: u32, tell: &mut impl FnMut(Answer)) {
        let Some((variable, stride)) = self.variables.get(depth) else {
            tell(self.answers[at as usize]);
            return;
        };
        let mut set = sets[*variable as usize];
        while set != 0 {
            let cell = set.trailing_zeros();
            set &= set - 1;
            self.each(sets, depth + 1, at + cell * stride, tell);
        }
    }
}
