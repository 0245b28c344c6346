//! Parts put together again, whatever comes.

use proptest::prelude::*;
use wellwright_device::frame::LiveFrame;
use wellwright_device::part::{Assembler, FaultCounts};
use wellwright_domain::channel::Channel;

/// A frame of four parts at MTU 23.
fn frame(seq: u32) -> LiveFrame {
    let mut frame = LiveFrame::new(seq, u64::from(seq) * 1000).with_boot(1);
    for channel in Channel::ALL {
        frame.set(channel, Some(10.0 + f64::from(seq % 7)));
    }
    frame
}

fn parts(seq: u32) -> Vec<Vec<u8>> {
    let parts = frame(seq).to_parts(23);
    assert_eq!(parts.len(), 4);
    parts
}

/// The numbers of the frames that come out.
fn feed<'a>(assembler: &mut Assembler, parts: impl IntoIterator<Item = &'a Vec<u8>>) -> Vec<u32> {
    parts
        .into_iter()
        .filter_map(|part| assembler.take(part))
        .map(|(frame, raw)| {
            assert_eq!(frame.encode(), raw);
            frame.seq
        })
        .collect()
}

#[test]
fn whole_frames_come_out_without_a_fault() {
    let mut a = Assembler::default();
    for seq in 0..1000 {
        assert_eq!(feed(&mut a, &parts(seq)), [seq]);
        assert_eq!(feed(&mut a, &frame(seq + 1_000_000).to_parts(512)), [seq + 1_000_000]);
    }
    assert_eq!(a.faults(), FaultCounts::default());
    assert_eq!(a.faults().to_string(), "none");
}

#[test]
fn order_within_and_between_frames_does_not_matter() {
    let mut a = Assembler::default();
    let (one, two) = (parts(1), parts(2));
    let mixed = [&two[3], &one[2], &one[0], &two[0], &one[3], &two[1], &one[1], &two[2]];
    assert_eq!(feed(&mut a, mixed), [1, 2]);
    assert_eq!(a.faults().total(), 0);
}

#[test]
fn a_lost_part_costs_its_frame_and_no_other() {
    let mut a = Assembler::default();
    assert_eq!(feed(&mut a, &parts(1)[..3]), []);
    for seq in 2..40 {
        assert_eq!(feed(&mut a, &parts(seq)), [seq]);
    }
    assert_eq!(a.faults(), FaultCounts { incomplete: 1, ..FaultCounts::default() });
    // 256 frames on, the same low byte: nothing of the old frame is left to spoil it.
    assert_eq!(feed(&mut a, &parts(257)), [257]);
    assert_eq!(a.faults().total(), 1);
}

#[test]
fn repeated_parts_are_counted_and_harmless() {
    let mut a = Assembler::default();
    let p = parts(5);
    assert_eq!(feed(&mut a, [&p[0], &p[0], &p[1], &p[2], &p[1], &p[3], &p[3], &p[0]]), [5]);
    assert_eq!(a.faults(), FaultCounts { repeated: 4, ..FaultCounts::default() });
    assert_eq!(feed(&mut a, &parts(6)), [6]);
}

#[test]
fn two_different_parts_for_one_place_give_up_the_frame() {
    let mut a = Assembler::default();
    let p = parts(5);
    let mut other = p[1].clone();
    other[10] ^= 0xFF;
    assert_eq!(feed(&mut a, [&p[0], &p[1], &other, &p[2], &p[3]]), []);
    assert_eq!(feed(&mut a, &parts(6)), [6]);
    assert_eq!((a.faults().repeated, a.faults().incomplete), (1, 1));
    assert!(a.bytes_held() > 0);
    a.reset();
    assert_eq!(a.bytes_held(), 0);
    assert_eq!(a.faults().incomplete, 2, "its last two parts opened a frame that never closed");
}

#[test]
fn truncated_oversized_malformed_and_damaged_are_told_apart() {
    let mut a = Assembler::default();
    let mut cut = parts(1);
    cut[3].pop();
    assert_eq!(feed(&mut a, &cut), []);
    assert_eq!(a.faults(), FaultCounts { damaged: 1, ..FaultCounts::default() });

    for nothing in [&[][..], &[0], &[0, 0], &[0, 0x10, 1], &[0, 0xF0, 1]] {
        assert!(a.take(nothing).is_none());
    }
    assert_eq!(a.faults().malformed, 5);

    assert!(a.take(&[7; 300]).is_none());
    let long = [0, 0x0F].into_iter().chain([9; 200]).collect::<Vec<u8>>();
    let more = [0, 0x1F].into_iter().chain([9; 200]).collect::<Vec<u8>>();
    assert_eq!(feed(&mut a, [&long, &more]), []);
    assert_eq!(a.faults().oversized, 2);

    // A header that names another frame than the one inside.
    let mut lying = frame(9).to_parts(512).remove(0);
    lying[0] = 10;
    assert!(a.take(&lying).is_none());
    assert_eq!(a.faults().damaged, 2);

    let mut text = a.faults().to_string();
    text.truncate(40);
    assert!(text.starts_with("5 malformed, 2 oversized"), "{text}");
    assert_eq!(feed(&mut a, &parts(11)), [11], "none of it harms a later frame");
}

#[test]
fn a_flood_of_beginnings_stays_bounded() {
    let mut a = Assembler::default();
    for n in 0..100_000_u32 {
        let [seq, body, ..] = n.to_le_bytes();
        let mut part = vec![seq, (body % 15) << 4 | 0x0F];
        part.resize(255, body);
        a.take(&part);
        assert!(a.bytes_held() <= Assembler::MAX_BYTES);
    }
    assert!(a.faults().total() > 50_000);
    assert_eq!(feed(&mut a, &parts(12)), [12]);
}

proptest! {
    #[test]
    fn noise_never_panics_and_stays_bounded(noise in proptest::collection::vec(
        proptest::collection::vec(any::<u8>(), 0..300), 0..200)) {
        let mut a = Assembler::default();
        for part in &noise {
            prop_assert!(a.take(part).is_none(), "noise passed the check sum");
            prop_assert!(a.bytes_held() <= Assembler::MAX_BYTES);
        }
        // Noise can spoil only a frame whose number it happens to bear; fewer than 256 numbers were borne.
        let seq = (0..=255).find(|&seq| noise.iter().all(|part| part.first() != Some(&seq))).unwrap_or_default();
        prop_assert_eq!(feed(&mut a, &parts(seq.into())), [u32::from(seq)]);
    }

    /// Losses, repeats, swaps and noise between true parts: what comes out is true, in whole frames.
    #[test]
    fn only_true_frames_come_out(
        moves in proptest::collection::vec((0u8..10, any::<proptest::sample::Index>()), 40..120)
    ) {
        let mut sent: Vec<Vec<u8>> = (0..30).flat_map(parts).collect();
        for (kind, index) in moves {
            let at = index.index(sent.len());
            match kind {
                0..4 => { sent.remove(at); }
                4..6 => { let part = sent[at].clone(); sent.insert(at, part); }
                6..8 => { if at + 1 < sent.len() { sent.swap(at, at + 1); } }
                8 => { sent[at].pop(); }
                _ => sent.insert(at, vec![at as u8, 0x21, 3, 4, 5]),
            }
        }
        let mut a = Assembler::default();
        for part in &sent {
            if let Some((got, _)) = a.take(part) {
                prop_assert_eq!(&got, &frame(got.seq));
            }
            prop_assert!(a.bytes_held() <= Assembler::MAX_BYTES);
        }
    }
}
