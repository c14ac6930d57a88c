//! Rows run down columns, from one to the next and on to further sheets. Nothing is ever left out.

use std::collections::VecDeque;

use kurbo::{Rect, Vec2};

use super::blocks::{Block, Row};
use super::further_columns;
use crate::drawing::scene::Scene;

/// A place for rows.
#[derive(Clone, Copy, Debug)]
pub struct Column {
    /// Number of the sheet, from zero.
    pub page: usize,
    /// Its place on that sheet.
    pub rect: Rect,
}

impl Column {
    /// True for an untouched column of a further sheet: more height than it has is not to be had.
    fn is_whole(&self) -> bool {
        self.page > 0 && self.rect.y0 <= super::INNER.y0
    }
}

/// Rows with their places, so far.
pub struct Flow {
    parts: Vec<(usize, Scene)>,
    /// Columns of further sheets that nobody has filled yet.
    further: VecDeque<Column>,
    pages: usize,
    ends: Vec<(usize, Rect, f64)>,
    /// How far down the columns of further sheets reach, as a share of their height.
    depth: f64,
}

impl Flow {
    /// Nothing placed, one sheet; columns of further sheets use this share of their height.
    pub fn new(depth: f64) -> Self {
        Self { parts: Vec::new(), further: VecDeque::new(), pages: 1, ends: Vec::new(), depth }
    }

    /// Runs blocks through `columns`, then through those of further sheets.
    pub fn run(&mut self, blocks: Vec<Block>, columns: &mut Vec<Column>) {
        let mut waiting: VecDeque<Column> = columns.drain(..).collect();
        let mut current = Current::default();
        for block in blocks {
            self.block(&block, &mut waiting, &mut current);
        }
        self.close(current);
    }

    fn block(&mut self, block: &Block, waiting: &mut VecDeque<Column>, current: &mut Current) {
        let mut fresh = true;
        let mut index = 0;
        while index < block.rows.len() {
            // A row that stays with the next needs room for both, and the first needs its head.
            let mut needed = 0.0;
            for row in &block.rows[index..] {
                needed += row.height;
                if !row.with_next {
                    break;
                }
            }
            let head: f64 = block.head.iter().map(|row| row.height).sum();
            if fresh {
                needed += head;
            }
            while !current.has_room(needed) {
                let rows = block.head.iter().chain(&block.rows);
                let width = rows.flat_map(|row| &row.scene.boxes).map(|rect| rect.x1).fold(0.0, f64::max);
                self.next(waiting, current, needed.max(head + block.rows[index].height), width);
                fresh = true;
            }
            if fresh {
                for row in &block.head {
                    current.put(row);
                }
                fresh = false;
            }
            current.put(&block.rows[index]);
            index += 1;
        }
    }

    /// Goes on to the next column that is high enough and, if there is one, as wide as the row.
    fn next(&mut self, waiting: &mut VecDeque<Column>, current: &mut Current, needed: f64, width: f64) {
        self.close(std::mem::take(current));
        loop {
            let column = match waiting.pop_front() {
                Some(column) => column,
                None => self.further(width),
            };
            if column.rect.height() >= needed || column.is_whole() {
                *current = Current { column: Some(column), y: column.rect.y0, scene: Scene::default() };
                return;
            }
        }
    }

    /// The next free column of the further sheets; neighbours are joined for a wide row.
    fn further(&mut self, width: f64) -> Column {
        loop {
            let Some(mut column) = self.further.pop_front() else {
                self.further.extend(further_columns(self.pages, self.depth));
                self.pages += 1;
                continue;
            };
            while column.rect.width() < width {
                match self.further.front() {
                    Some(next) if next.page == column.page => {
                        let (a, b) = (column.rect, next.rect);
                        column.rect = Rect::new(a.x0, a.y0.max(b.y0), b.x1, a.y1.min(b.y1));
                        self.further.pop_front();
                    }
                    _ => break,
                }
            }
            // What is still too narrow at the end of a sheet stays empty, unless it is a whole sheet.
            let whole = column.rect.x0 <= super::INNER.x0 && column.is_whole();
            if column.rect.width() >= width || whole {
                return column;
            }
        }
    }

    fn close(&mut self, current: Current) {
        if let Some(column) = current.column {
            self.ends.push((column.page, column.rect, current.y));
            self.parts.push((column.page, current.scene));
            if column.page > 0 && column.rect.y1 - current.y > 200.0 {
                // The rest of a column on a further sheet serves whatever comes next.
                let rect = Rect { y0: current.y + super::GUTTER * 0.6, ..column.rect };
                self.further.push_front(Column { page: column.page, rect });
            }
        }
    }

    /// How far down a column is filled; its top when nothing was put in, none when it overflowed.
    pub fn end_on(&self, page: usize, column: Rect) -> Option<f64> {
        let is_it = |end: &&(usize, Rect, f64)| end.0 == page && end.1 == column;
        self.ends.iter().find(is_it).map(|end| end.2).or(Some(column.y0))
    }

    /// Begins a further sheet, and leaves free what is left on those before; returns its number.
    pub fn new_page(&mut self) -> usize {
        self.further.clear();
        self.pages += 1;
        self.pages - 1
    }

    /// Number of sheets.
    pub fn pages(&self) -> usize {
        self.pages
    }

    /// What stands on which sheet.
    pub fn into_parts(self) -> Vec<(usize, Scene)> {
        self.parts
    }
}

/// The column that is being filled.
#[derive(Default)]
struct Current {
    column: Option<Column>,
    y: f64,
    scene: Scene,
}

impl Current {
    fn has_room(&self, needed: f64) -> bool {
        self.column.is_some_and(|column| {
            let empty = self.y <= column.rect.y0;
            self.y + needed <= column.rect.y1 || (empty && column.is_whole())
        })
    }

    fn put(&mut self, row: &Row) {
        if let Some(column) = self.column {
            self.scene.place(row.scene.clone(), Vec2::new(column.rect.x0, self.y));
            self.y += row.height;
        }
    }
}
