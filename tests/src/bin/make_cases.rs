//! `make_cases OUT_DIR N SEED [--mix priors|uniform] [--sensors full|middling|lean] [--cause CODE]
//! [--system NUMBER] [--outside WORD]`: writes N cases with a known cause and the table of answers.

use std::path::PathBuf;
use std::process::ExitCode;
use std::{env, fs};

use wellwright_domain::cause::Cause;
use wellwright_tests::plant::files::ANSWERS_HEADER;
use wellwright_tests::plant::{Mix, Order, Outside, SensorSet, make};

const USAGE: &str = "usage: make_cases OUT_DIR N SEED [--mix priors|uniform] [--sensors full|middling|lean] \
                     [--cause CODE] [--system NUMBER] [--outside WORD]";

struct Wanted {
    folder: PathBuf,
    count: u64,
    order: Order,
}

fn parse() -> Option<Wanted> {
    let mut plain = Vec::new();
    let mut order = Order::default();
    let mut words = env::args().skip(1);
    while let Some(word) = words.next() {
        match word.as_str() {
            "--mix" => {
                order.mix = match words.next()?.as_str() {
                    "priors" => Mix::Priors,
                    "uniform" => Mix::Uniform,
                    _ => return None,
                }
            }
            "--sensors" => order.sensors = Some(SensorSet::from_word(&words.next()?)?),
            "--system" => order.system = Some(words.next()?.parse().ok()?),
            "--outside" => order.outside = Some(Outside::from_word(&words.next()?)?),
            "--cause" => order.cause = Some(Cause::from_code(&words.next()?)?),
            _ => plain.push(word),
        }
    }
    let [folder, count, seed] = plain.try_into().ok()?;
    order.seed = seed.parse().ok()?;
    Some(Wanted { folder: folder.into(), count: count.parse().ok()?, order })
}

fn write(wanted: &Wanted) -> std::io::Result<()> {
    fs::create_dir_all(&wanted.folder)?;
    let mut answers = format!("{ANSWERS_HEADER}\n");
    for index in 0..wanted.count {
        let case = make(&Order { index, ..wanted.order });
        case.write(&wanted.folder)?;
        answers += &case.answer();
        answers.push('\n');
    }
    fs::write(wanted.folder.join("answers.csv"), answers)
}

fn main() -> ExitCode {
    let Some(wanted) = parse() else {
        eprintln!("{USAGE}");
        return ExitCode::from(2);
    };
    match write(&wanted) {
        Ok(()) => {
            println!("{} cases in {}", wanted.count, wanted.folder.display());
            ExitCode::SUCCESS
        }
        Err(error) => {
            eprintln!("{error}");
            ExitCode::FAILURE
        }
    }
}
