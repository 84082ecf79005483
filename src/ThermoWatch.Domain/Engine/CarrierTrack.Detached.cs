using ThermoWatch.Domain.Signals;

namespace ThermoWatch.Domain.Engine;

/// <content>Thermocouples that come off.</content>
internal sealed partial class CarrierTrack
{
    /// <summary>Marks what has come since the thermocouple was last sure, if it has come off; what is still to come is marked on its way in.</summary>
    private void LookForLift(ProductWatch watch, List<EngineEvent> events)
    {
        if (!watch.IsProduct || !watch.HasLifted(_boards, Run!.StartTicks))
        {
            return;
        }

        ChannelTrack track = watch.Track;
        Run!.Note($"{RunInProgress.Detached}{track.Definition.Id}");
        for (long i = track.Curve.FirstAtOrAfter(track.SureUntil + 1); i < track.Curve.Next; i++)
        {
            var reading = new Reading(new Timestamp(track.Curve.TicksAt(i)), track.Curve.ValueAt(i), SignalQuality.Uncertain(QualityReason.Detached));
            events.Add(new DetachedEvent(new Timestamp(track.Curve.LastTicks), track.Definition.Id, reading));
        }
    }
}
