//! The web server: loopback only unless shared with a pairing token; requests as JSON, reports as JSON, drawings as SVG.

mod accounts;
mod api;
mod checking;
mod desk_board;
mod desk_changes;
mod desk_gate;
mod desk_parts;
mod desk_uploads;
mod door;
mod drawings;
mod exports;
mod feeds_api;
mod frame_folders;
mod frame_pictures;
mod kept;
mod makings;
mod night;
mod night_api;
mod pages;
mod read_api;
mod read_files;
mod reads;
mod recent;
mod refusal;
mod send_page;
mod sender;
mod sheets;
mod still_words;
mod stills;
mod telling;

use std::net::{IpAddr, SocketAddr};
use std::path::{Path, PathBuf};
use std::sync::{Arc, Mutex};

use axum::Router;
use axum::routing::{delete, get, post, put};
use feeds::Settings;
use journal::Journal;

use self::door::Door;
pub(crate) use self::frame_folders::FrameFolders;
use tower_http::compression::CompressionLayer;

use crate::desk::Queue;
use crate::{Failure, output};

/// Largest request body, bytes.
const LARGEST_BODY: usize = 1 << 20;

/// What handlers share: the journal is the only state that matters; the rest could be worked out again.
#[derive(Clone)]
pub(crate) struct Shared {
    journal: Arc<Mutex<Journal>>,
    /// Where the journal is: a pull, which may wait for the network, opens it for itself.
    path: Arc<Path>,
    settings: Arc<Settings>,
    recent: recent::RecentOutlooks,
    nights: Arc<night::Nights>,
    makings: Arc<makings::Makings>,
    reads: Arc<reads::Reads>,
    /// What measures the pictures that viewers send.
    desk: Arc<Queue>,
    gate: Arc<desk_gate::Gate>,
    /// The proxy in front of this server, whose word for the address of a sender is taken.
    proxy: Option<IpAddr>,
}

/// What a server works on.
pub(crate) struct Kept {
    /// The journal.
    pub(crate) journal: Journal,
    /// Where it is.
    pub(crate) path: PathBuf,
    /// The settings of feeds.
    pub(crate) settings: Settings,
    /// Folders that may be sorted.
    pub(crate) frames: FrameFolders,
    /// The proxy in front of it.
    pub(crate) proxy: Option<IpAddr>,
}

/// Whether the pages were built into the program.
pub(crate) fn has_pages() -> bool {
    pages::are_there()
}

/// Who can reach the server.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Reach {
    /// Loopback only.
    ThisMachine,
    /// The local network, with a pairing token.
    LocalNetwork,
}

/// Serves until stopped (Ctrl-C).
///
/// # Errors
///
/// The port is taken.
pub(crate) fn run(kept: Kept, port: u16, reach: Reach) -> Result<(), Failure> {
    let broken = |error: std::io::Error| Failure::new(format!("the server stopped: {error}"), "start it again");
    let runtime = tokio::runtime::Builder::new_multi_thread().enable_all().build().map_err(broken)?;
    runtime.block_on(async {
        let door = match reach {
            Reach::ThisMachine => Door::Local,
            Reach::LocalNetwork => Door::shared()?,
        };
        let listener = tokio::net::TcpListener::bind(door.listen_at(port)).await.map_err(|error| {
            Failure::new(format!("port {port} cannot be used: {error}"), "give another --port, or 0 for a free one")
        })?;
        let address = listener.local_addr().map_err(broken)?;
        output::answer(&door.invitation(address.port())?)?;
        let desk = Arc::new(Queue::new(&kept.path, kept.settings.clone()));
        let shared = Shared {
            desk: Arc::clone(&desk),
            gate: Arc::new(desk_gate::Gate::new()),
            proxy: kept.proxy,
            journal: Arc::new(Mutex::new(kept.journal)),
            path: Arc::from(kept.path),
            settings: Arc::new(kept.settings),
            recent: recent::RecentOutlooks::default(),
            nights: Arc::new(night::Nights::new(kept.frames)),
            makings: Arc::default(),
            reads: Arc::new(reads::Reads::new()),
        };
        let measuring = Arc::clone(&desk);
        // no thread of the runtime: that would wait for it at the end of the program
        std::thread::spawn(move || measuring.work());
        let (nights, makings, reads) =
            (Arc::clone(&shared.nights), Arc::clone(&shared.makings), Arc::clone(&shared.reads));
        let stopped = async move {
            stopped().await;
            // a page that listens would hold the server up until its sort is done
            nights.close();
            makings.stop();
            reads.stop();
            desk.stop();
        };
        let service = router(shared, door).into_make_service_with_connect_info::<SocketAddr>();
        axum::serve(listener, service).with_graceful_shutdown(stopped).await.map_err(broken)
    })
}

async fn stopped() {
    // no handler, no graceful end: the journal is safe either way
    let _ignored = tokio::signal::ctrl_c().await;
}

fn router(shared: Shared, door: Door) -> Router {
    Router::new()
        .route("/api/outlook", post(api::outlook))
        .route("/api/stand", post(api::stand))
        .route("/api/expose", post(api::expose))
        .route("/api/check", post(checking::check_frame).layer(checking::body_limit()))
        .route("/api/check/drawn", post(checking::check_drawn).layer(checking::body_limit()))
        .route("/api/check/parts", post(checking::parts).layer(checking::body_limit()))
        .route("/api/check/example", get(checking::example))
        .route("/api/draw/check", post(checking::overlay).layer(checking::body_limit()))
        .route("/api/tell/eye", post(telling::eye).layer(checking::body_limit()))
        .route("/api/tell/still", post(stills::still).layer(checking::body_limit()))
        .route("/api/tell/sheet", get(sheets::sheet))
        .route("/api/tell/making", get(makings::standing).post(makings::start).delete(makings::stop))
        .route("/api/tell/making/progress", get(makings::progress))
        .route("/api/tell/making/file", get(makings::file))
        .route("/api/tell/account", get(accounts::tell))
        .route("/api/sort", get(night_api::standing).post(night_api::start).delete(night_api::stop))
        .route("/api/sort/progress", get(night_api::progress))
        .route("/api/sort/report", get(night_api::report))
        .route("/api/sort/verdict", post(night_api::say))
        .route("/api/sort/ratings", post(night_api::rate))
        .route("/api/sort/frames/{hash}/small", get(frame_pictures::small))
        .route("/api/sort/frames/{hash}/part", get(frame_pictures::part))
        .route("/api/sort/frames/{hash}/file", get(frame_pictures::whole))
        .route("/api/sort/same-place", get(frame_pictures::same_place))
        .route("/api/skymap", post(api::skymap))
        .route("/api/almanac", post(api::almanac))
        .route("/api/magnetic", post(api::magnetic))
        .route("/api/scores", get(api::scores))
        .route("/api/outings", get(api::outings))
        .route("/api/outings/{id}", get(api::outing))
        .route("/api/readings", get(api::readings))
        .route("/api/readings/{id}", get(api::reading))
        .route("/api/readings/{id}/keogram", get(drawings::keogram))
        .route("/api/conditions", post(feeds_api::conditions))
        .route("/api/feeds", get(feeds_api::standing))
        .route("/api/feeds/pull", post(feeds_api::pull))
        .route("/api/sites", get(api::sites).post(kept::add_site).put(kept::change_site).delete(kept::remove_site))
        .route("/api/sites/import", post(kept::import_sites))
        .route("/api/sites.geojson", get(kept::sites_file))
        .route("/api/kits", get(api::kits).post(kept::add_kit).put(kept::change_kit).delete(kept::remove_kit))
        .route("/api/starters", get(kept::starters))
        .route("/api/status", get(api::status))
        .route("/api/draw/strip", post(drawings::strip))
        .route("/api/draw/bowl", post(drawings::bowl))
        .route("/api/draw/compare", post(drawings::compare))
        .route("/api/draw/expose", post(drawings::expose))
        .route("/api/draw/lens", post(drawings::lens))
        .route("/api/export/{name}", post(exports::export))
        .route("/api/draw/horizon", post(drawings::horizon))
        .merge(desk_routes())
        .merge(read_routes())
        .fallback(pages::page)
        .layer(axum::extract::DefaultBodyLimit::max(LARGEST_BODY))
        .layer(CompressionLayer::new())
        .layer(axum::middleware::from_fn_with_state(door, door::guard))
        .with_state(shared)
}

/// A folder read, and readings looked at.
fn read_routes() -> Router<Shared> {
    Router::new()
        .route("/api/read", get(read_api::standing).post(read_api::start).delete(read_api::stop))
        .route("/api/read/progress", get(read_api::progress))
        .route("/api/read/keep", post(read_api::keep))
        .route("/api/read/of/{which}", get(read_api::whole))
        .route("/api/read/of/{which}/frames", get(read_files::list))
        .route("/api/read/of/{which}/frames/{key}/small", get(read_files::small))
        .route("/api/read/of/{which}/file/{file}", get(read_files::file))
}

/// The board of the desk, and the pages by which viewers send.
fn desk_routes() -> Router<Shared> {
    use desk_uploads::body_limit;
    Router::new()
        .route("/api/desk", get(desk_board::board))
        .route("/api/desk/submissions", get(desk_board::list).post(desk_uploads::drop_in).layer(body_limit()))
        .route("/api/desk/submissions/{id}", get(desk_board::one).put(desk_changes::edit))
        .route("/api/desk/submissions/{id}/state", post(desk_changes::set_state))
        .route("/api/desk/submissions/{id}/consent", post(desk_changes::consent))
        .route("/api/desk/submissions/{id}/withdraw", post(desk_changes::take_back))
        .route("/api/desk/submissions/{id}/small", get(desk_board::small))
        .route("/api/desk/submissions/{id}/view", get(desk_board::view))
        .route("/api/desk/points", get(desk_board::points))
        .route("/api/desk/arrivals", get(desk_board::arrivals))
        .route("/api/desk/rundown", put(desk_changes::set_rundown))
        .route("/api/desk/export", post(desk_changes::let_out))
        .route("/api/desk/links", get(desk_changes::links).post(desk_changes::new_link))
        .route("/api/desk/links/{id}", delete(desk_changes::revoke_link))
        .route("/send/{token}", get(desk_uploads::form).post(desk_uploads::send).layer(body_limit()))
        .route("/withdraw/{word}", get(desk_uploads::withdrawal_form).post(desk_uploads::withdrawn))
}
