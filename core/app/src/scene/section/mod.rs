//! The section: the installation drawn to true depth, every reading where it is measured.
//!
//! Widths are not to scale; depths are, and never broken nor bent. Where the well is so deep that a metre
//! would get less than 1.4 dp, the picture grows instead.

mod above;
mod frame;
mod rows;
mod spoken;
mod well;

pub use frame::{Frame, WIDTH};

use super::view::{ReadingRow, SectionView};
use super::{Item, Scene};
use crate::text::Words;

/// A drawn section, and the rows that found no room in it and belong in a list beneath.
#[derive(Debug, Clone, PartialEq)]
pub struct SectionPicture {
    /// The picture.
    pub scene: Scene,
    /// Plain rows (bottom, rest, intake) left out of it; never one that differs.
    pub listed: Vec<ReadingRow>,
}

/// Draws a section.
pub fn draw(view: &SectionView, words: &Words<'_>) -> SectionPicture {
    let mut frame = Frame::of(view);
    let (labels, listed) = rows::arrange(view, &mut frame);
    let mut items: Vec<Item> = Vec::new();
    items.extend(above::sun(view, &frame));
    items.extend(well::ground(&frame, words.units));
    items.extend(well::hole(view, &frame));
    items.extend(well::level_span(view, &frame));
    items.extend(above::tank(view, &frame));
    items.extend(well::riser(view, &frame));
    items.extend(well::pump(&frame));
    items.extend(above::array(view, &frame));
    items.extend(well::cable(view, &frame));
    items.extend(rows::leaders(&labels));
    items.extend(rows::items(labels));
    let scene =
        Scene { width: WIDTH, height: frame.height.ceil(), description: spoken::section(view, words), items };
    SectionPicture { scene, listed }
}
