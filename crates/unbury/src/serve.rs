//! `serve`: opens the data folder, listens, and ends in good order.

use std::net::{SocketAddr, TcpListener};
use std::time::Duration;

use anyhow::{Context, Result};
use hyper_util::rt::TokioTimer;
use store::Store;
use web::serve::{AppState, Door, Link};

use crate::cli::End;
use crate::page::Page;
use crate::tls;

/// How long requests may go on after the program was asked to end.
const GRACE: Duration = Duration::from_secs(5);

/// A client has this long to say what it wants.
const HEADERS: Duration = Duration::from_secs(15);

/// Threads that wait for the disk or compute, at most.
const WAITING: usize = 32;

/// How to serve.
pub(crate) struct Serving<'a> {
    /// Where to listen.
    pub(crate) listen: SocketAddr,
    /// Name entries are made under where nobody logs in.
    pub(crate) name: &'a str,
    /// Through TLS, with names and addresses besides those of this machine.
    pub(crate) tls: Option<&'a [String]>,
}

/// Serves until the program is asked to end.
pub(crate) fn serve(page: &mut Page, store: Store, serving: &Serving<'_>) -> Result<End> {
    let listener = TcpListener::bind(serving.listen).with_context(|| {
        format!("cannot listen on {}; is something else there?", serving.listen)
    })?;
    let address = listener.local_addr().context("cannot tell where it listens")?;
    let door = door(address, serving.name)?;
    let tls = match serving.tls {
        Some(also) => Some(tls::of(store.folder(), address, also, store.clock())?),
        None => None,
    };
    let link = tls.as_ref().map_or(Link::Plain, |own| Link::Tls {
        certificate: own.authority.clone(),
        fingerprint: own.fingerprint.clone(),
    });
    let state = AppState::new(store, door.clone(), link)?;
    let is_first = state.store().people()?.is_empty();
    say(page, address, (&door, is_first), tls.as_ref())?;
    let runtime = tokio::runtime::Builder::new_multi_thread()
        .enable_all()
        .max_blocking_threads(WAITING)
        .build()
        .context("cannot start")?;
    runtime.block_on(run(listener, state, tls))?;
    Ok(End::Done)
}

/// Who gets in: whoever is at this machine, or whoever logs in.
fn door(address: SocketAddr, name: &str) -> Result<Door> {
    if address.ip().is_loopback() {
        return Ok(Door::Open { name: name.to_owned() });
    }
    let code: String = store::secret()?.chars().take(12).collect();
    Ok(Door::Login { code })
}

/// Says where it serves, and what the first to come has to know.
fn say(
    page: &mut Page,
    address: SocketAddr,
    (door, is_first): (&Door, bool),
    tls: Option<&tls::Own>,
) -> Result<()> {
    let scheme = if tls.is_some() { "https" } else { "http" };
    let reached = match address.ip().is_unspecified() {
        true => tls::outward().map_or(address, |ip| SocketAddr::new(ip, address.port())),
        false => address,
    };
    page.paragraph(&format!("Serving on {scheme}://{reached}/"), 0)?;
    if let Some(own) = tls {
        page.paragraph(&format!("SHA-256 of the certificate: {}", own.fingerprint), 0)?;
    }
    if let Door::Login { code } = door {
        if is_first {
            page.paragraph(&format!("Nobody can log in yet. Begin with this code: {code}"), 0)?;
        }
        if tls.is_none() {
            let plain = "Without --tls, passwords can be read by others on the network, and pages are \
                         not kept on phones for when the link is down.";
            page.paragraph(plain, 0)?;
        }
    }
    page.paragraph("Ctrl-C ends it.", 0)?;
    Ok(())
}

async fn run(listener: TcpListener, state: AppState, tls: Option<tls::Own>) -> Result<()> {
    let handle = axum_server::Handle::new();
    tokio::spawn(end_when_asked(handle.clone(), state.clone()));
    let router = web::serve::router(state).into_make_service_with_connect_info::<SocketAddr>();
    listener.set_nonblocking(true).context("cannot listen")?;
    match tls {
        None => {
            let mut server = axum_server::from_tcp(listener)?.handle(handle);
            server.http_builder().http1().timer(TokioTimer::new()).header_read_timeout(HEADERS);
            server.serve(router).await
        }
        Some(own) => {
            let config = own.config().await?;
            let mut server = axum_server::from_tcp_rustls(listener, config)?.handle(handle);
            server.http_builder().http1().timer(TokioTimer::new()).header_read_timeout(HEADERS);
            server.serve(router).await
        }
    }
    .context("serving ended")
}

/// Tells open pages that it ends, takes no more requests, and lets those that came in be answered.
async fn end_when_asked(handle: axum_server::Handle<SocketAddr>, state: AppState) {
    asked_to_end().await;
    state.close();
    handle.graceful_shutdown(Some(GRACE));
}

async fn asked_to_end() {
    // Where a signal cannot be listened for, only the other ends it.
    let interrupt = async {
        if tokio::signal::ctrl_c().await.is_err() {
            std::future::pending::<()>().await;
        }
    };
    #[cfg(unix)]
    {
        use tokio::signal::unix::{SignalKind, signal};
        match signal(SignalKind::terminate()) {
            Ok(mut terminate) => {
                tokio::select! { () = interrupt => {} _ = terminate.recv() => {} }
            }
            Err(_) => interrupt.await,
        }
    }
    #[cfg(not(unix))]
    interrupt.await;
}
