//! The mapping as YAML gives it, before anything is checked.

use serde::Deserialize;
use serde::de::{Deserializer, Error, MapAccess, SeqAccess, Visitor};
use std::fmt;
use std::marker::PhantomData;

/// One text or a list of texts. Numbers count as the text they are written as where that is certain.
#[derive(Debug, Clone, Default)]
pub(super) struct Words(pub Vec<String>);

/// Keys in the order in which they are written, each once.
#[derive(Debug, Clone)]
pub(super) struct Pairs<T>(pub Vec<(String, T)>);

impl<T> Default for Pairs<T> {
    fn default() -> Self {
        Self(Vec::new())
    }
}

/// A unit by name, or the column that holds it.
#[derive(Debug, Clone)]
pub(super) enum UnitFrom {
    Named(String),
    Column(String),
}

struct Scalar(String);

impl<'de> Deserialize<'de> for Scalar {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct Seen;
        impl Visitor<'_> for Seen {
            type Value = Scalar;
            fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str("a text in quotes")
            }
            fn visit_str<E: Error>(self, value: &str) -> Result<Scalar, E> {
                Ok(Scalar(value.to_owned()))
            }
            fn visit_i64<E: Error>(self, value: i64) -> Result<Scalar, E> {
                Ok(Scalar(value.to_string()))
            }
            fn visit_u64<E: Error>(self, value: u64) -> Result<Scalar, E> {
                Ok(Scalar(value.to_string()))
            }
            fn visit_f64<E: Error>(self, value: f64) -> Result<Scalar, E> {
                Ok(Scalar(value.to_string()))
            }
        }
        deserializer.deserialize_any(Seen)
    }
}

impl<'de> Deserialize<'de> for Words {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct Seen;
        impl<'de> Visitor<'de> for Seen {
            type Value = Words;
            fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str("a text or a list of texts")
            }
            fn visit_str<E: Error>(self, value: &str) -> Result<Words, E> {
                Ok(Words(vec![value.to_owned()]))
            }
            fn visit_i64<E: Error>(self, value: i64) -> Result<Words, E> {
                Ok(Words(vec![value.to_string()]))
            }
            fn visit_u64<E: Error>(self, value: u64) -> Result<Words, E> {
                Ok(Words(vec![value.to_string()]))
            }
            fn visit_f64<E: Error>(self, value: f64) -> Result<Words, E> {
                Ok(Words(vec![value.to_string()]))
            }
            fn visit_seq<A: SeqAccess<'de>>(self, mut seq: A) -> Result<Words, A::Error> {
                let mut words = Vec::new();
                while let Some(Scalar(word)) = seq.next_element()? {
                    words.push(word);
                }
                Ok(Words(words))
            }
        }
        deserializer.deserialize_any(Seen)
    }
}

impl<'de, T: Deserialize<'de>> Deserialize<'de> for Pairs<T> {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct Seen<T>(PhantomData<T>);
        impl<'de, T: Deserialize<'de>> Visitor<'de> for Seen<T> {
            type Value = Pairs<T>;
            fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str("names with their values below them")
            }
            fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<Pairs<T>, A::Error> {
                let mut pairs: Vec<(String, T)> = Vec::new();
                while let Some(Scalar(name)) = map.next_key()? {
                    if pairs.iter().any(|(other, _)| *other == name) {
                        return Err(A::Error::custom(format!("`{name}` stands twice")));
                    }
                    pairs.push((name, map.next_value()?));
                }
                Ok(Pairs(pairs))
            }
        }
        deserializer.deserialize_map(Seen(PhantomData))
    }
}

impl<'de> Deserialize<'de> for UnitFrom {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct Seen;
        impl<'de> Visitor<'de> for Seen {
            type Value = UnitFrom;
            fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str("a unit, or `{ column: HEADING }`")
            }
            fn visit_str<E: Error>(self, value: &str) -> Result<UnitFrom, E> {
                Ok(UnitFrom::Named(value.to_owned()))
            }
            fn visit_map<A: MapAccess<'de>>(self, mut map: A) -> Result<UnitFrom, A::Error> {
                let mut column = None;
                while let Some(key) = map.next_key::<String>()? {
                    if key != "column" {
                        return Err(A::Error::custom(format!("unknown field `{key}`, expected `column`")));
                    }
                    column = Some(map.next_value()?);
                }
                column.map(UnitFrom::Column).ok_or_else(|| A::Error::custom("missing field `column`"))
            }
        }
        deserializer.deserialize_any(Seen)
    }
}

/// What every kind of file has.
#[derive(Debug, Default)]
pub(super) struct Common {
    pub files: Vec<String>,
    pub record: Option<String>,
    pub delimiter: Option<String>,
    pub decimal: Option<String>,
    pub thousands: Option<String>,
    pub encoding: Option<String>,
    pub preamble: Option<u32>,
    pub sheet: Option<String>,
    pub widths: Option<Vec<usize>>,
    pub quote: Option<String>,
    pub escape: Option<String>,
    pub heading_rows: Option<u32>,
    pub footer: Vec<String>,
    pub end_mark: Option<String>,
    pub time: Option<Time>,
    pub missing: Vec<String>,
    pub broken: Vec<String>,
}

macro_rules! group {
    ($name:ident { $($field:ident: $type:ty,)* }) => {
        #[derive(Debug, Deserialize)]
        #[serde(deny_unknown_fields, rename_all = "kebab-case")]
        pub(super) struct $name {
            #[serde(default)]
            files: Words,
            record: Option<String>,
            delimiter: Option<String>,
            decimal: Option<String>,
            thousands: Option<String>,
            encoding: Option<String>,
            preamble: Option<u32>,
            sheet: Option<String>,
            widths: Option<Vec<usize>>,
            quote: Option<String>,
            escape: Option<String>,
            heading_rows: Option<u32>,
            #[serde(default)]
            footer: Words,
            end_mark: Option<String>,
            time: Option<Time>,
            #[serde(default)]
            missing: Words,
            #[serde(default)]
            broken: Words,
            $(#[serde(default)] pub $field: $type,)*
        }

        impl $name {
            /// Takes out what every kind of file has.
            pub fn common(&mut self) -> Common {
                Common {
                    files: std::mem::take(&mut self.files.0),
                    record: self.record.take(),
                    delimiter: self.delimiter.take(),
                    decimal: self.decimal.take(),
                    thousands: self.thousands.take(),
                    encoding: self.encoding.take(),
                    preamble: self.preamble.take(),
                    sheet: self.sheet.take(),
                    widths: self.widths.take(),
                    quote: self.quote.take(),
                    escape: self.escape.take(),
                    heading_rows: self.heading_rows.take(),
                    footer: std::mem::take(&mut self.footer.0),
                    end_mark: self.end_mark.take(),
                    time: self.time.take(),
                    missing: std::mem::take(&mut self.missing.0),
                    broken: std::mem::take(&mut self.broken.0),
                }
            }
        }
    };
}

group! { Lots {
    lot: Option<String>,
    load: Option<String>,
    product: Option<String>,
    quantity: Option<Amount>,
    events: Pairs<String>,
    facts: Pairs<String>,
    line: Option<String>,
    shipped: Option<String>,
} }

group! { Readings {
    lot: Option<String>,
    lot_in_name: Option<String>,
    instrument_column: Option<String>,
    long: Option<Long>,
    place: Option<String>,
    by: Option<String>,
    entered: Option<Entered>,
    spot: bool,
    columns: Pairs<Column>,
} }

group! { Samples {
    lot: Option<String>,
    sample: Option<String>,
    by: Option<String>,
    entered: Option<Entered>,
    columns: Pairs<Column>,
} }

group! { Calibrations {
    instrument: Option<String>,
    reading: Option<Figure>,
    reference: Option<Figure>,
    unit: Option<UnitFrom>,
    by: Option<String>,
} }

group! { Registers {
    holds: Option<String>,
    fields: Pairs<String>,
    unit: Option<String>,
} }

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub(super) struct Mapping {
    pub zone: Option<String>,
    #[serde(default)]
    pub lots: Vec<Lots>,
    #[serde(default)]
    pub readings: Vec<Readings>,
    #[serde(default)]
    pub samples: Vec<Samples>,
    #[serde(default)]
    pub calibrations: Vec<Calibrations>,
    #[serde(default)]
    pub registers: Vec<Registers>,
}

#[derive(Debug, Default, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub(super) struct Time {
    pub column: Option<String>,
    #[serde(default)]
    pub columns: Words,
    pub format: Option<String>,
    pub offset: Option<String>,
    pub zone: Option<String>,
    pub repeated_hour: Option<String>,
}

/// When each entry was written: the column, and the format where it is not that of the entry's own time.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub(super) struct Entered {
    pub column: String,
    pub format: Option<String>,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub(super) struct Amount {
    pub column: String,
    pub unit: String,
}

/// The mass of sample that was tested: the same for all, or in a column.
#[derive(Debug)]
pub(super) enum Mass {
    /// `25 g`
    Named(String),
    /// `{ column: HEADING, unit: g }`
    Column(Amount),
}

impl<'de> Deserialize<'de> for Mass {
    fn deserialize<D: Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        struct Seen;
        impl<'de> Visitor<'de> for Seen {
            type Value = Mass;
            fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
                f.write_str("a mass such as `25 g`, or `{ column: HEADING, unit: g }`")
            }
            fn visit_str<E: Error>(self, value: &str) -> Result<Mass, E> {
                Ok(Mass::Named(value.to_owned()))
            }
            fn visit_map<A: MapAccess<'de>>(self, map: A) -> Result<Mass, A::Error> {
                Amount::deserialize(serde::de::value::MapAccessDeserializer::new(map)).map(Mass::Column)
            }
        }
        deserializer.deserialize_any(Seen)
    }
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub(super) struct Figure {
    pub column: String,
    pub decimal: Option<String>,
}

/// Where each row holds one reading: the column that names it, and the column with its value.
#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub(super) struct Long {
    pub name: String,
    pub value: String,
}

#[derive(Debug, Deserialize)]
#[serde(deny_unknown_fields, rename_all = "kebab-case")]
pub(super) struct Column {
    pub parameter: Option<String>,
    pub probe: Option<String>,
    pub instrument: Option<String>,
    #[serde(default)]
    pub serials: Pairs<String>,
    pub unit: Option<String>,
    pub decimal: Option<String>,
    #[serde(default)]
    pub missing: Words,
    #[serde(default)]
    pub broken: Words,
    pub range: Option<(f64, f64)>,
    #[serde(default)]
    pub answers: Pairs<Words>,
    #[serde(default)]
    pub not_detected: Words,
    pub mass: Option<Mass>,
}
