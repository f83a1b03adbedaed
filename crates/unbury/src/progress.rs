//! A line on standard error for work that takes more than a second, gone when the work is done.

use std::io::{IsTerminal, Write};
use std::sync::mpsc::{RecvTimeoutError, Sender, channel};
use std::thread::JoinHandle;
use std::time::Duration;

/// Shows its words while it lives, from the first second on; nothing where standard error is no
/// terminal.
pub(crate) struct Progress {
    done: Option<Sender<()>>,
    thread: Option<JoinHandle<()>>,
}

impl Progress {
    pub(crate) fn of(words: &'static str) -> Progress {
        if !std::io::stderr().is_terminal() {
            return Progress { done: None, thread: None };
        }
        let (done, wait) = channel::<()>();
        let thread = std::thread::spawn(move || {
            let mut seconds = 0u32;
            while let Err(RecvTimeoutError::Timeout) = wait.recv_timeout(Duration::from_secs(1)) {
                seconds += 1;
                let _ = write!(std::io::stderr().lock(), "\r{words} ... {seconds} s");
            }
            if seconds > 0 {
                let blank = " ".repeat(words.len() + 16);
                let _ = write!(std::io::stderr().lock(), "\r{blank}\r");
            }
        });
        Progress { done: Some(done), thread: Some(thread) }
    }
}

impl Drop for Progress {
    fn drop(&mut self) {
        self.done.take();
        if let Some(thread) = self.thread.take() {
            let _ = thread.join();
        }
    }
}
