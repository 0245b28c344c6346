//! What a system should do at a moment, as text.

use std::fmt::Write as _;

use wellwright_app::expect::Expect;
use wellwright_app::text::{Quantity, Words, names, time};
use wellwright_domain::channel::Channel;

use crate::term::{Ink, left, right, wrapped};

/// The channels in the order of the way from sun to water.
const ORDER: [Channel; 9] = [
    Channel::ModuleC,
    Channel::ArrayV,
    Channel::ArrayA,
    Channel::MotorRpm,
    Channel::PhaseUA,
    Channel::OutputV,
    Channel::FlowM3H,
    Channel::WellheadKpa,
    Channel::WaterLevelM,
];

/// The whole answer.
pub fn text(e: &Expect, words: &Words<'_>, ink: &Ink) -> String {
    let mut out = format!("{}, {} ({})\n", e.system, time::date_clock(words, e.at), time::zone(e.at));
    let held = words.fill("cli.expect.held", &[("x", &names::regime(words.texts, e.regime))]);
    let _ = writeln!(out, "{}", ink.strong(&held));
    let given = words.fill(
        "cli.expect.given",
        &[
            ("sun", &words.value(Quantity::Irradiance, e.given.irradiance_w_m2)),
            ("air", &words.value(Quantity::Temperature, e.given.air_c)),
            ("minutes", &time::duration(words, e.given.minutes * 60.0)),
        ],
    );
    let _ = writeln!(out, "{}\n", wrapped(&given, ink.width, 0));
    let _ = writeln!(
        out,
        "{} {}",
        left(&ink.strong(words.texts.text("cli.expect.title")), 40),
        words.texts.text("cli.in_80")
    );
    for channel in ORDER {
        let Some(value) = e.channels.get(channel.code()) else { continue };
        let q = Quantity::of(channel);
        let amount = words.amount(q, *value, 0.0);
        let interval = e.interval_80.get(channel.code()).map(|i| words.interval(q, i[0], i[1]));
        let name = names::channel(words.texts, channel);
        let row = format!(
            "{} {} {}  {}",
            left(&name, 24),
            right(&amount.number, 8),
            left(amount.unit, 5),
            interval.unwrap_or_default()
        );
        let _ = writeln!(out, "{}", row.trim_end());
    }
    let c = &e.chain_w;
    let _ = writeln!(out, "\n{}", ink.strong(words.texts.text("cli.account")));
    for (id, watts) in [
        ("cli.chain.array", c.array),
        ("cli.chain.after_dc_cable", c.after_dc_cable),
        ("cli.chain.controller_out", c.controller_out),
        ("cli.chain.motor_in", c.motor_in),
        ("cli.chain.shaft", c.shaft),
        ("cli.chain.hydraulic", c.hydraulic),
    ] {
        let number = words.amount(Quantity::Power, watts, 0.0).number;
        let _ = writeln!(out, "{} {}", left(words.texts.text(id), 24), right(&number, 8));
    }
    if !e.assumed.is_empty() {
        let fields: Vec<String> = e.assumed.iter().map(|k| names::field(words.texts, k)).collect();
        let said = format!("{}: {}.", words.texts.text("page.assumed"), fields.join(", "));
        let _ = writeln!(out, "\n{}", wrapped(&said, ink.width, 0));
    }
    out
}
