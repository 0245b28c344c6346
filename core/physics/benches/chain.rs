//! How fast the chain is: `cargo bench -p wellwright-physics`.

use divan::{Bencher, black_box};
use wellwright_domain::examples::{dovecote_bend, kestrel_hollow};
use wellwright_physics::array::{Group, ShadedCurve, StringKind};
use wellwright_physics::days::{Climate, Rules, year};
use wellwright_physics::hydraulics::Level;
use wellwright_physics::module::ModuleModel;
use wellwright_physics::operating_point::Moment;
use wellwright_physics::plant::Plant;

fn main() {
    divan::main();
}

fn centrifugal() -> Plant {
    Plant::from_record(&kestrel_hollow()).unwrap().0
}

fn helical() -> Plant {
    Plant::from_record(&dovecote_bend()).unwrap().0
}

/// Sun-limited, full sun, one hour after the start.
const MOMENTS: [Moment; 4] = [moment(350.0), moment(480.0), moment(610.0), moment(1050.0)];

const fn moment(irradiance_w_m2: f64) -> Moment {
    let level = Level::After { minutes: 60.0 };
    Moment { irradiance_w_m2, cell_c: 45.0, level, heat_share: 1.0 }
}

/// As [`MOMENTS`], each a little different from call to call, so that nothing can be remembered.
fn run(bencher: Bencher<'_, '_>, plant: &Plant, irradiance_w_m2: f64) {
    let mut g = irradiance_w_m2;
    bencher.bench_local(|| {
        g = if g > irradiance_w_m2 + 20.0 { irradiance_w_m2 } else { g + 0.37 };
        plant.operating_point(black_box(&Moment { irradiance_w_m2: g, ..MOMENTS[0] }))
    });
}

#[divan::bench]
fn operating_point_centrifugal_sun_limited(bencher: Bencher<'_, '_>) {
    run(bencher, &centrifugal(), 480.0);
}

#[divan::bench]
fn operating_point_centrifugal_bright(bencher: Bencher<'_, '_>) {
    run(bencher, &centrifugal(), 1050.0);
}

#[divan::bench]
fn operating_point_helical_sun_limited(bencher: Bencher<'_, '_>) {
    run(bencher, &helical(), 350.0);
}

#[divan::bench]
fn operating_point_helical_bright(bencher: Bencher<'_, '_>) {
    run(bencher, &helical(), 1050.0);
}

/// A magnet so strong that the array's voltage sets the speed.
#[divan::bench]
fn operating_point_voltage_limited(bencher: Bencher<'_, '_>) {
    let mut plant = centrifugal();
    plant.motor.ke_v_per_krpm *= 1.3;
    run(bencher, &plant, 950.0);
}

#[divan::bench]
fn load_at_centrifugal(bencher: Bencher<'_, '_>) {
    let plant = centrifugal();
    bencher.bench_local(|| plant.load_at(black_box(2600.0), black_box(Level::After { minutes: 60.0 })));
}

#[divan::bench]
fn load_at_helical(bencher: Bencher<'_, '_>) {
    let plant = helical();
    bencher.bench_local(|| plant.load_at(black_box(1800.0), black_box(Level::After { minutes: 60.0 })));
}

/// A string of ten modules under three levels of light, from its parts to all its maxima.
#[divan::bench]
fn shaded_string_all_maxima(bencher: Bencher<'_, '_>) {
    let module = ModuleModel::from_reference(1.5161, 8.884117, 1.497143e-10, 0.3233, 697.390381, 0.003907);
    bencher.bench_local(|| {
        let third = |g: f64, t: f64| module.at(black_box(g), t).scaled(1.0 / 3.0);
        let group = |count, cell| Group { count, cell };
        let groups =
            [group(15.0, third(900.0, 50.0)), group(9.0, third(600.0, 48.0)), group(6.0, third(250.0, 44.0))];
        ShadedCurve::new(vec![StringKind::new(1.0, groups)], 0.3).maxima()
    });
}

/// The same with a second, unshaded string beside it.
#[divan::bench]
fn two_strings_one_shaded_all_maxima(bencher: Bencher<'_, '_>) {
    let module = ModuleModel::from_reference(1.5161, 8.884117, 1.497143e-10, 0.3233, 697.390381, 0.003907);
    bencher.bench_local(|| {
        let third = |g: f64, t: f64| module.at(black_box(g), t).scaled(1.0 / 3.0);
        let group = |count, cell| Group { count, cell };
        let shaded =
            [group(15.0, third(900.0, 50.0)), group(9.0, third(600.0, 48.0)), group(6.0, third(250.0, 44.0))];
        let bright = [group(30.0, third(900.0, 50.0))];
        ShadedCurve::new(vec![StringKind::new(1.0, bright), StringKind::new(1.0, shaded)], 0.3).maxima()
    });
}

/// A year hour by hour: sun, sky, plane, month by month irradiation, plant, tank.
#[divan::bench(sample_count = 5)]
fn year_by_the_hour(bencher: Bencher<'_, '_>) {
    let system = kestrel_hollow();
    let (plant, climate) = (centrifugal(), Climate::of(&system));
    bencher.bench_local(|| year(&plant, black_box(2026), 60.0, &climate, Rules::default()));
}
