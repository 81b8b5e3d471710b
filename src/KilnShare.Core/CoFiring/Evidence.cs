using KilnShare.Core.Cones;
using KilnShare.Core.Materials;
using NodaTime;

namespace KilnShare.Core.CoFiring;

/// <summary>How pieces of one clay, glaze and number of coats came out of one firing.</summary>
/// <param name="On">The day of the firing.</param>
/// <param name="Sound">How many came out as wished.</param>
/// <param name="Spoilt">How many came out wrong and harmed nothing else.</param>
/// <param name="Stuck">How many ran onto the shelf or harmed their neighbours.</param>
public sealed record EvidenceFiring(LocalDate On, int Sound, int Spoilt, int Stuck);

/// <summary>A studio's own outcomes of one clay under one glaze, fired the same way. Names are compared without regard to case.</summary>
/// <param name="Clay">The clay's name.</param>
/// <param name="Glaze">The glaze's name.</param>
/// <param name="Coats">How many coats.</param>
/// <param name="Cone">The cone.</param>
/// <param name="Atmosphere">The atmosphere.</param>
/// <param name="Firings">Firing by firing.</param>
public sealed record Evidence(string Clay, string Glaze, int Coats, Cone Cone, Atmosphere Atmosphere, IReadOnlyList<EvidenceFiring> Firings)
{
    /// <summary>The series the cone belongs to.</summary>
    public ConeSeries Series { get; init; }
}
