namespace KilnShare.Core.Energy;

/// <summary>How a kiln's jacket gives its heat to the room.</summary>
public static class OuterFace
{
    private const double KelvinAtZeroC = 273.15;

    /// <summary>Source: CODATA 2018.</summary>
    private const double StefanBoltzmannWPerM2K4 = 5.670374419e-8;

    /// <summary>Emissivity of a stainless jacket in use; from memory.</summary>
    private const double JacketEmissivity = 0.4;

    /// <summary>Natural convection and radiation together, W/(m²·K).</summary>
    /// <remarks>
    /// Source: h = 1.31·ΔT^⅓ for vertical surfaces in air (McAdams, "Heat Transmission", 3rd edition, from memory) and the law of Stefan and
    /// Boltzmann. Units: W/(m²·K). Valid for: jackets up to about 300 °C in still air. Accuracy: about 20 %;
    /// the wall, not the jacket, rules the loss.
    /// </remarks>
    public static double CoefficientWPerM2K(double jacketC, double roomC)
    {
        var (jacketK, roomK) = (jacketC + KelvinAtZeroC, roomC + KelvinAtZeroC);
        var convection = 1.31 * Math.Cbrt(Math.Abs(jacketC - roomC));
        var radiation = JacketEmissivity * StefanBoltzmannWPerM2K4 * (jacketK + roomK) * (jacketK * jacketK + roomK * roomK);
        return convection + radiation;
    }
}
