using System.Collections.Concurrent;
using KilnShare.Core.Energy;
using KilnShare.Core.Kilns;

namespace KilnShare.Api.Energy;

/// <summary>A kiln with what its own metered firings taught of it.</summary>
/// <param name="Heat">As it is to be forecast with.</param>
/// <param name="Learnt">What it rests on; of no firings where nothing has been learnt.</param>
internal sealed record KnownKiln(KilnHeat Heat, LearntKiln Learnt)
{
    /// <summary>On what forecasts of this kiln rest, in words.</summary>
    public string Sentence => Learnt.Firings == 0
        ? $"Nothing has been learnt of this kiln yet: forecast from its wall and power as written down, give or take {Learnt.HalfWidthPercent:0} %."
        : $"Forecast by what {(Learnt.Firings == 1 ? "one metered firing" : $"{Learnt.Firings} metered firings")} of this kiln taught, give or take "
            + $"{Learnt.HalfWidthPercent:0} %.";
}

/// <summary>Remembers what was learnt of each kiln until something it was learnt from changes.</summary>
public sealed class LearntKilns
{
    private const int MostKilns = 2_000;
    private readonly ConcurrentDictionary<(Guid Studio, Guid Kiln), (string From, LearntKiln Learnt)> known = new();

    /// <summary>What the firings teach of the kiln; learnt anew only where <paramref name="from"/> differs from last time.</summary>
    internal LearntKiln Of(Kiln kiln, KilnHeat heat, IReadOnlyList<MeteredFiring> metered, string from)
    {
        var name = (kiln.StudioId.Value, kiln.Id.Value);
        if (known.TryGetValue(name, out var before) && before.From == from) return before.Learnt;
        var learnt = LearntKiln.From(heat, metered);
        if (known.Count >= MostKilns) known.Clear();
        known[name] = (from, learnt);
        return learnt;
    }
}
