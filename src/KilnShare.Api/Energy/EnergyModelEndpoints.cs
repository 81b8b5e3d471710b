using KilnShare.Api.Access;
using KilnShare.Api.Common;
using KilnShare.Core.Common;
using KilnShare.Core.Energy;
using KilnShare.Core.Kilns;
using KilnShare.Storage;

namespace KilnShare.Api.Energy;

/// <summary>A metered firing that a kiln was learnt from.</summary>
public sealed record LearntFiringContract
{
    /// <summary>The firing.</summary>
    public required Guid FiringId { get; init; }

    /// <summary>What it took.</summary>
    public required decimal MeteredKwh { get; init; }

    /// <summary>What the kiln as learnt would be forecast to take.</summary>
    public required decimal ForecastKwh { get; init; }
}

/// <summary>What a kiln's metered firings taught of it.</summary>
public sealed record EnergyModelAnswer
{
    /// <summary>On how many firings it rests; 0: nothing has been learnt yet.</summary>
    public required int Firings { get; init; }

    /// <summary>Times all heat that leaves by wall and openings.</summary>
    public required double LossFactor { get; init; }

    /// <summary>Power on the plate.</summary>
    public required double RatedKw { get; init; }

    /// <summary>The power its elements give.</summary>
    public required double AvailableKw { get; init; }

    /// <summary>What the next firing's meter shows is within so much of the forecast nine times in ten.</summary>
    public required double HalfWidthPercent { get; init; }

    /// <summary>The mean over many such firings is within so much of the forecast nine times in ten.</summary>
    public required double MeanHalfWidthPercent { get; init; }

    /// <summary>On what forecasts of this kiln rest, in words.</summary>
    public required string RestsOnWords { get; init; }

    /// <summary>The firings, oldest first.</summary>
    public required IReadOnlyList<LearntFiringContract> RestsOn { get; init; }

    /// <summary>What counts as a firing to learn from.</summary>
    public string Note { get; init; } =
        "Learnt from firings that name a schedule, have a meter reading at the start and at the end or power samples, and were not broken off; "
        + "the elements' power from those whose log shows that they ran late. Ware counts by its written masses; all furniture of the kiln is taken to be "
            + "in, the room at 20 °C.";
}

/// <summary>What has been learnt of a kiln.</summary>
public static class EnergyModelEndpoints
{
    /// <summary>Maps the routes.</summary>
    public static void MapEnergyModel(this RouteGroupBuilder studio) => studio.MapGet("/kilns/{kilnId:guid}/energy-model", Read)
        .WithTags("Energy").WithName("readEnergyModel").Answers<EnergyModelAnswer>().Refuses(422, 503);

    /// <summary>Read what a kiln's metered firings have taught</summary>
    private static async Task<IResult> Read(Guid kilnId, Caller caller, KilnShareDb db, LearntKilns memory, SearchGate gate, CancellationToken cancellation)
    {
        if (await db.FindAsync<Kiln>([caller.StudioId, new Id<Kiln>(kilnId)], cancellation) is not { } kiln) return Problems.Absent();
        if (await KilnLearning.Read(db, memory, kiln, cancellation) is not { } known)
            return Problems.Of(
                Refusal.Rule("energy.kiln-not-described", "The wall and rated power of this kiln are not written down, so nothing can be learnt of them."));
        var firings = await KilnLearning.FiringsOf(db, kiln, cancellation);
        return (await gate.Run(_ => Answer(kiln, known, firings), cancellation)).TryGet(out var answer, out var refusal)
            ? TypedResults.Ok(answer) : Problems.Of(refusal);
    }

    private static EnergyModelAnswer Answer(Kiln kiln, KnownKiln known, List<LearnableFiring> firings) => new()
    {
        Firings = known.Learnt.Firings,
        LossFactor = Math.Round(known.Learnt.LossFactor, 3),
        RatedKw = (double)kiln.Making.RatedKw!.Value,
        AvailableKw = Math.Round(known.Learnt.AvailableKw, 2),
        HalfWidthPercent = Math.Round(known.Learnt.HalfWidthPercent, 1),
        MeanHalfWidthPercent = Math.Round(known.Learnt.MeanHalfWidthPercent, 1),
        RestsOnWords = known.Sentence,
        RestsOn = [.. firings.Select(f => new LearntFiringContract
        {
            FiringId = f.Id.Value,
            MeteredKwh = EnergyByPartContract.Kwh(f.Metered.MeteredKwh),
            ForecastKwh = EnergyByPartContract.Kwh(ForecastKwh(known.Heat, f.Metered)),
        })],
    };

    private static double ForecastKwh(KilnHeat kiln, MeteredFiring firing) =>
        FiringEnergy.Forecast(new FiringEnergyRequest(kiln, firing.Load, firing.AmbientC, firing.Programme)).TryGet(out var forecast, out _)
            ? forecast.EnergyKwh : 0;
}
