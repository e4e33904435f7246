//! Which channels hold a parameter for a lot, looked up instead of looked through.

use super::series::Channel;
use std::collections::HashMap;

/// Channels by parameter and lot, each list in the order of the channels.
#[derive(Debug, Default)]
pub(crate) struct Index(HashMap<String, Holders>);

#[derive(Debug, Default)]
struct Holders {
    by_lot: HashMap<String, Vec<usize>>,
    /// Those of places, which name no lot.
    shared: Vec<usize>,
}

impl Index {
    pub fn new(channels: &[Channel]) -> Self {
        let mut index: HashMap<String, Holders> = HashMap::new();
        for (at, channel) in channels.iter().enumerate() {
            let holders = match index.get_mut(&channel.parameter) {
                Some(holders) => holders,
                None => index.entry(channel.parameter.clone()).or_default(),
            };
            match &channel.lot {
                Some(lot) => holders.by_lot.entry(lot.clone()).or_default().push(at),
                None => holders.shared.push(at),
            }
        }
        Index(index)
    }

    /// The channels of a parameter that name this lot.
    pub fn of_lot(&self, parameter: &str, lot: &str) -> &[usize] {
        self.0.get(parameter).and_then(|holders| holders.by_lot.get(lot)).map_or(&[], Vec::as_slice)
    }

    /// The channels of a parameter that name no lot.
    pub fn shared(&self, parameter: &str) -> &[usize] {
        self.0.get(parameter).map_or(&[], |holders| holders.shared.as_slice())
    }
}
