//! Typed ids and the arenas they index.

use std::marker::PhantomData;

/// An id into an [`Arena`]. Implemented by the `id!` macro only.
pub trait Id: Copy + Eq + Ord {
    /// The id of the `index`-th thing.
    fn from_index(index: usize) -> Self;
    /// The place in the arena.
    fn index(self) -> usize;
}

macro_rules! id {
    ($(#[$doc:meta])* $name:ident) => {
        $(#[$doc])*
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
        pub struct $name(u32);

        impl crate::Id for $name {
            fn from_index(index: usize) -> Self {
                Self(u32::try_from(index).expect("limits keep every arena far below 2^32"))
            }
            fn index(self) -> usize {
                self.0 as usize
            }
        }
    };
}
pub(crate) use id;

/// Things of one sort in the order they were written, reached by typed id.
#[derive(Clone, Debug, PartialEq)]
pub struct Arena<I, T> {
    items: Vec<T>,
    id: PhantomData<I>,
}

impl<I: Id, T> Default for Arena<I, T> {
    fn default() -> Self {
        Arena { items: Vec::new(), id: PhantomData }
    }
}

impl<I: Id, T> Arena<I, T> {
    /// Adds a thing and returns its id.
    pub fn push(&mut self, item: T) -> I {
        self.items.push(item);
        I::from_index(self.items.len() - 1)
    }

    /// The id the next thing will get.
    pub fn next_id(&self) -> I {
        I::from_index(self.items.len())
    }

    /// How many there are.
    pub fn len(&self) -> usize {
        self.items.len()
    }

    /// True when there is none.
    pub fn is_empty(&self) -> bool {
        self.items.is_empty()
    }

    /// All of them with their ids.
    pub fn iter(&self) -> impl DoubleEndedIterator<Item = (I, &T)> + ExactSizeIterator {
        self.items.iter().enumerate().map(|(index, item)| (I::from_index(index), item))
    }

    /// All ids.
    pub fn ids(&self) -> impl DoubleEndedIterator<Item = I> + use<I, T> {
        (0..self.items.len()).map(I::from_index)
    }

    /// The first thing that fits, with its id.
    pub fn find(&self, mut fits: impl FnMut(&T) -> bool) -> Option<(I, &T)> {
        self.iter().find(|(_, item)| fits(item))
    }
}

impl<I: Id, T> std::ops::Index<I> for Arena<I, T> {
    type Output = T;
    fn index(&self, id: I) -> &T {
        &self.items[id.index()]
    }
}

impl<I: Id, T> std::ops::IndexMut<I> for Arena<I, T> {
    fn index_mut(&mut self, id: I) -> &mut T {
        &mut self.items[id.index()]
    }
}
