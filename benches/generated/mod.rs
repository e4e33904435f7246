//! A large plan for measuring.

use std::fmt::Write;

/// A plan without a fault: every seventh step or so has a CCP, every step three hazard rows.
pub fn generated(steps: usize, hazards: usize, ccps: usize) -> String {
    let mut text = include_str!("../../tests/findings/base.haccp")
        .replace("step send \"Dispatch\" {", "step send \"Dispatch\" {\n  after s0");
    // The generated line begins where the small plan's flow ends: chilling → s(n-1) … s0 → dispatch.
    for n in 0..steps {
        let after = if n + 1 == steps { "chill".to_owned() } else { format!("s{}", n + 1) };
        writeln!(text, "\nstep s{n} \"Step {n}\" {{\n  does \"What is done at step {n}\"\n  after {after}").unwrap();
        for row in 0..(hazards / steps) {
            let ccp = n * ccps / steps;
            let hazard = (ccp * (hazards / steps) + row) % 97;
            let own = (ccp * steps).div_ceil(ccps) == n;
            let decision = if own { "q1 no, q2 yes, q3 no, q4 yes" } else { "q1 no, q2 yes, q3 yes" };
            writeln!(
                text,
                "  hazard agent-{hazard} survives {{\n    likelihood   likely\n    significant  \"It may live through step {n}\"\n    decision     {decision}\n    control      c{ccp} \"Held hot\"\n  }}"
            )
            .unwrap();
        }
        writeln!(text, "  no other hazard \"Closed vessel\"\n}}").unwrap();
    }
    for n in 0..97 {
        writeln!(
            text,
            "\nhazard agent-{n} \"Agent {n}\" {{\n  kind biological\n  severity severe \"Can be fatal\"\n  acceptable-level \"Absent in 25 g\"\n  cites trial\n}}"
        )
        .unwrap();
    }
    for n in 0..ccps {
        let at = (n * steps).div_ceil(ccps);
        writeln!(
            text,
            "\nccp c{n} \"Control {n}\" at s{at} {{\n  limit hot core >= 71.1 °C held for 2 min\n  operating-limit aim core >= 74 °C held for 2 min\n  monitor core continuously step 10 s by cook using probe on log \"Thickest bowl\"\n  deviation {{\n    hold \"Tag\"\n    hold-back to last good check\n    cause \"Find it\"\n    restore \"Next load\"\n    prevent \"Review\"\n    disposition destroy by chef\n    recorded on log\n  }}\n  verify direct-observation every 1 month by chef on log\n  verify record-review within 7 days by chef on log\n  validated 2026-01-20 science paper, in-plant trial\n}}"
        )
        .unwrap();
    }
    text
}
