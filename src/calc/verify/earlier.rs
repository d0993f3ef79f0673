//! What the pieces before left behind. Every attempt at a piece shares it, and to keep one more costs the same however
//! many there are.

use std::iter;
use std::rc::Rc;

/// A list that grows at one end; a clone shares what is there.
#[derive(Debug)]
pub(super) struct Earlier<T>(Option<Rc<Node<T>>>);

#[derive(Debug)]
struct Node<T> {
    value: T,
    before: Option<Rc<Self>>,
}

impl<T> Earlier<T> {
    pub(super) fn push(&mut self, value: T) {
        self.0 = Some(Rc::new(Node { value, before: self.0.take() }));
    }

    /// The latest first.
    pub(super) fn latest_first(&self) -> impl Iterator<Item = &T> {
        iter::successors(self.0.as_deref(), |node| node.before.as_deref()).map(|node| &node.value)
    }
}

impl<T> Default for Earlier<T> {
    fn default() -> Self {
        Self(None)
    }
}

impl<T> Clone for Earlier<T> {
    fn clone(&self) -> Self {
        Self(self.0.clone())
    }
}

impl<T> Drop for Earlier<T> {
    /// One after the other: each within the next would need a stack as deep as the list is long.
    fn drop(&mut self) {
        let mut next = self.0.take();
        while let Some(mut node) = next.and_then(|node| Rc::try_unwrap(node).ok()) {
            next = node.before.take();
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_is_shared_stays_as_it_was_and_a_long_list_goes_without_a_deep_stack() {
        let mut list = Earlier::default();
        for number in 0..1_000_000 {
            list.push(number);
        }
        let mut other = list.clone();
        other.push(-1);
        list.push(-2);
        assert_eq!(list.latest_first().take(2).collect::<Vec<_>>(), [&-2, &999_999]);
        assert_eq!(other.latest_first().take(2).collect::<Vec<_>>(), [&-1, &999_999]);
        drop(list);
        assert_eq!(other.latest_first().count(), 1_000_001);
    }
}
