//! The records as plain structs, one field a look, read by serde.

use std::fmt;
use std::marker::PhantomData;

use serde::Deserialize;
use serde::de::value::MapAccessDeserializer;
use serde::de::{Deserializer, MapAccess, Visitor};

/// What stands for a part or for one place of it.
#[derive(Debug, Clone, Copy, Default)]
pub enum Said<T> {
    /// Nothing, or `?`.
    #[default]
    Nothing,
    /// `good`.
    Good,
    /// `none`.
    None,
    /// Its looks, or its places.
    Looks(T),
}

impl<'de, T: Deserialize<'de>> Deserialize<'de> for Said<T> {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct Either<T>(PhantomData<T>);
        impl<'de, T: Deserialize<'de>> Visitor<'de> for Either<T> {
            type Value = Said<T>;

            fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str("a word or a group")
            }

            fn visit_str<E: serde::de::Error>(self, text: &str) -> Result<Said<T>, E> {
                match text {
                    "good" => Ok(Said::Good),
                    "none" => Ok(Said::None),
                    "?" => Ok(Said::Nothing),
                    _ => Err(E::custom(text)),
                }
            }

            fn visit_map<A: MapAccess<'de>>(self, map: A) -> Result<Said<T>, A::Error> {
                T::deserialize(MapAccessDeserializer::new(map)).map(Said::Looks)
            }

            fn visit_seq<A: serde::de::SeqAccess<'de>>(self, seq: A) -> Result<Said<T>, A::Error> {
                T::deserialize(serde::de::value::SeqAccessDeserializer::new(seq)).map(Said::Looks)
            }
        }
        deserializer.deserialize_any(Either(PhantomData))
    }
}

/// A reading in hundredths of its unit, or `?`.
#[derive(Debug, Clone, Copy)]
pub struct Reading(pub Option<i64>);

impl<'de> Deserialize<'de> for Reading {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct Number;
        impl Visitor<'_> for Number {
            type Value = Reading;

            fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str("a number, with its unit or without")
            }

            fn visit_u64<E>(self, number: u64) -> Result<Reading, E> {
                Ok(Reading(Some(number as i64 * 100)))
            }

            fn visit_i64<E>(self, number: i64) -> Result<Reading, E> {
                Ok(Reading(Some(number * 100)))
            }

            fn visit_f64<E>(self, number: f64) -> Result<Reading, E> {
                Ok(Reading(Some((number * 100.0).round() as i64)))
            }

            fn visit_str<E: serde::de::Error>(self, text: &str) -> Result<Reading, E> {
                if text == "?" {
                    return Ok(Reading(None));
                }
                let number = text.split(' ').next().unwrap_or(text);
                number.parse::<f64>().map(|number| Reading(Some((number * 100.0).round() as i64))).map_err(E::custom)
            }
        }
        deserializer.deserialize_any(Number)
    }
}

macro_rules! looks {
    ($($name:ident { $($field:ident $(as $written:literal)?),* $(; $($reading:ident),*)? })*) => {$(
        #[derive(Debug, Clone, Copy, Default, Deserialize)]
        #[serde(default)]
        pub struct $name<'a> {
            $($(#[serde(rename = $written)])? pub $field: Option<&'a str>,)*
            $($(pub $reading: Option<Reading>,)*)?
        }
    )*};
}

looks! {
    Instrument { kind, strung, dropped, heated }
    Room { hygrometer, heat; humidity }
    Button { sits, turns; gap }
    Endpin { socket, slips, rod, tip }
    State { state }
    Tailpiece { state, sits }
    Tuner { turns, tip }
    Post { stands, spot, bump }
    Top { shape }
    Bridge { stands, shape, feet, grooves, spot, clears; lean }
    OneString { winding; height }
    StringSet { sound, fitted }
    Nut { clearance, sits }
    Peg { turns, stands }
    Machine { turns, key }
    Board { joint, surface }
    Heel { joint, moves, back; projection }
    Seam { state; length }
    Crack { place as "where" }
    Varnish { rosin, surface }
    Body { buzz, loose, tried }
    Chinrest { holds, clamp }
    Rest { feet }
    Bow { hair, eaten, screw, camber, head, grip }
    Case { shuts, presses, loose, insects }
}

/// Places called by the names of strings.
#[derive(Debug, Clone, Copy, Deserialize)]
#[serde(bound(deserialize = "T: Deserialize<'de>"), rename_all = "UPPERCASE")]
pub struct Strings<T> {
    #[serde(default)]
    pub c: Said<T>,
    #[serde(default)]
    pub g: Said<T>,
    #[serde(default)]
    pub d: Said<T>,
    #[serde(default)]
    pub a: Said<T>,
    #[serde(default)]
    pub e: Said<T>,
}

impl<T: Copy> Strings<T> {
    /// The places, in the order C, G, D, A, E.
    pub fn all(&self) -> [Said<T>; 5] {
        [self.c, self.g, self.d, self.a, self.e]
    }
}

/// The seams round the edge.
#[derive(Debug, Clone, Copy, Default, Deserialize)]
#[serde(default, rename_all = "kebab-case")]
pub struct Seams<'a> {
    #[serde(borrow)]
    pub lower_block: Said<Seam<'a>>,
    #[serde(borrow)]
    pub lower_treble: Said<Seam<'a>>,
    #[serde(borrow)]
    pub waist_treble: Said<Seam<'a>>,
    #[serde(borrow)]
    pub upper_treble: Said<Seam<'a>>,
    #[serde(borrow)]
    pub neck_block: Said<Seam<'a>>,
    #[serde(borrow)]
    pub upper_bass: Said<Seam<'a>>,
    #[serde(borrow)]
    pub waist_bass: Said<Seam<'a>>,
    #[serde(borrow)]
    pub lower_bass: Said<Seam<'a>>,
}

/// The two centre seams.
#[derive(Debug, Clone, Copy, Default, Deserialize)]
#[serde(default)]
pub struct Centres<'a> {
    #[serde(borrow)]
    pub top: Said<State<'a>>,
    #[serde(borrow)]
    pub back: Said<State<'a>>,
}

/// One record.
#[derive(Debug, Default, Deserialize)]
#[serde(default, rename_all = "kebab-case")]
pub struct Sheet<'a> {
    pub record: &'a str,
    pub inspected_on: Option<&'a str>,
    #[serde(borrow)]
    pub instrument: Instrument<'a>,
    #[serde(borrow)]
    pub room: Room<'a>,
    #[serde(borrow)]
    pub button: Said<Button<'a>>,
    #[serde(borrow)]
    pub endpin: Said<Endpin<'a>>,
    #[serde(borrow)]
    pub block: Said<State<'a>>,
    #[serde(borrow)]
    pub saddle: Said<State<'a>>,
    #[serde(borrow)]
    pub tailgut: Said<State<'a>>,
    #[serde(borrow)]
    pub tailpiece: Said<Tailpiece<'a>>,
    #[serde(borrow)]
    pub tuner: Said<Tuner<'a>>,
    #[serde(borrow)]
    pub post: Said<Post<'a>>,
    #[serde(borrow)]
    pub top: Said<Top<'a>>,
    #[serde(borrow)]
    pub bridge: Said<Bridge<'a>>,
    #[serde(borrow)]
    pub string: Said<Strings<OneString<'a>>>,
    #[serde(borrow)]
    pub stringset: Said<StringSet<'a>>,
    #[serde(borrow)]
    pub nut: Said<Nut<'a>>,
    #[serde(borrow)]
    pub peg: Said<Strings<Peg<'a>>>,
    #[serde(borrow)]
    pub machine: Said<Strings<Machine<'a>>>,
    #[serde(borrow)]
    pub scroll: Said<State<'a>>,
    #[serde(borrow)]
    pub board: Said<Board<'a>>,
    #[serde(borrow)]
    pub heel: Said<Heel<'a>>,
    #[serde(borrow)]
    pub seam: Said<Seams<'a>>,
    #[serde(borrow)]
    pub centre: Said<Centres<'a>>,
    #[serde(borrow)]
    pub crack: Said<Vec<Crack<'a>>>,
    #[serde(borrow)]
    pub rib: Said<State<'a>>,
    #[serde(borrow)]
    pub edge: Said<State<'a>>,
    #[serde(borrow)]
    pub varnish: Said<Varnish<'a>>,
    #[serde(borrow)]
    pub body: Said<Body<'a>>,
    #[serde(borrow)]
    pub chinrest: Said<Chinrest<'a>>,
    #[serde(borrow)]
    pub shoulder_rest: Said<Rest<'a>>,
    #[serde(borrow)]
    pub bow: Said<Bow<'a>>,
    #[serde(borrow)]
    pub case: Said<Case<'a>>,
}
