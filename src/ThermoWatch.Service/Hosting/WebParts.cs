using ThermoWatch.Recording.Catalogue;
using ThermoWatch.Recording.Keeping;
using ThermoWatch.Service.Api;
using ThermoWatch.Service.Cells;
using ThermoWatch.Service.Live;
using ThermoWatch.Service.Publishing;
using ThermoWatch.Service.Rejudging;

namespace ThermoWatch.Service.Hosting;

/// <summary>What the pages, the hub and the API are served from.</summary>
/// <param name="Cells">The running cells.</param>
/// <param name="Catalogue">The runs and what is written about them.</param>
/// <param name="Viewers">Who watches which cell.</param>
/// <param name="Record">How recording stands.</param>
/// <param name="Keeper">Takes runs out of the record, on a person's word.</param>
/// <param name="Probes">Where devices are probed.</param>
/// <param name="Rejudging">Runs judged once more.</param>
/// <param name="Feeds">What is sent to other systems.</param>
/// <param name="Time">The clock.</param>
internal sealed record WebParts(
    CellDirectory Cells, RunCatalogue Catalogue, Viewers Viewers, RecordWatch Record, RecordKeeper Keeper, ProbeDesk Probes, RejudgeDesk Rejudging,
    FeedDesk Feeds, TimeProvider Time);
