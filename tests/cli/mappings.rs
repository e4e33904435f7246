//! Mappings that cannot be used.

use crate::{Desk, MAPPING};

#[test]
fn missing_empty_binary() {
    let desk = Desk::new();
    desk.drop("mapping.yaml").unusable("mapping-missing");
    desk.put("mapping.yaml", "").unusable("mapping-empty");
    desk.put("mapping.yaml", b"\x00\x01\x02").unusable("mapping-binary");
}

#[test]
fn unknown_key_unit_and_parameter() {
    let desk = Desk::new();
    desk.put("mapping.yaml", MAPPING.replace("zone:", "zon:")).unusable("mapping-key");
    desk.put("mapping.yaml", MAPPING.replace("unit: °C", "unit: °X")).unusable("mapping-unit");
    desk.put("mapping.yaml", MAPPING.replace("parameter: core", "parameter: cor")).unusable("mapping-parameter");
}
